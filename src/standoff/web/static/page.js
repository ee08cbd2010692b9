"use strict";
// What every page may need: printing, and a length that shows with the choice it goes with.
(() => {
  document.addEventListener("click", (event) => { if (event.target.closest("[data-print]")) window.print(); });
  // A length that goes with a choice shows with it (without this script it always shows).
  document.querySelectorAll("select[data-shows]").forEach((select) => {
    const box = document.getElementById(select.dataset.shows);
    const show = () => { box.hidden = !select.selectedOptions[0].dataset.asks; if (!box.hidden) box.querySelector("span").textContent = select.selectedOptions[0].dataset.asks; };
    select.addEventListener("change", show);
    show();
  });
  // Taps of a run-off that still wait in this browser are told on every page but the one that sends them.
  const waiting = new Map();
  try {
    for (const name of Object.keys(localStorage)) {
      const job = name.match(/^standoff-tap\/([0-9a-f]{32})\//)?.[1];
      if (job) waiting.set(job, (waiting.get(job) || 0) + 1);
    }
  } catch (fault) { /* denied: nothing can wait there */ }
  const main = document.querySelector("main");
  if (main && !document.getElementById("runoff")) for (const [job, count] of waiting) {
    const note = document.createElement("p"), link = document.createElement("a");
    note.className = "note unsure no-print";
    link.href = "/jobs/" + job + "/runoff";
    link.textContent = "Open the run-off to send " + (count === 1 ? "it" : "them");
    note.append("? " + (count === 1 ? "1 tap" : count + " taps") + " of a run-off may still wait in this browser. ", link, ".");
    main.prepend(note);
  }
})();

"use strict";
// What every page may need: a page that stays still under a finger, printing, and a length that shows with the choice it goes with.
(() => {
  // While something is pressed nothing moves or is replaced: a press that begins on a button must end on it, or it does nothing.
  // Whatever changes the page by itself waits for `released`; a press that never ends is not waited for any longer than this.
  const LONGEST_MS = 1500, CLICK_MS = 60;
  let pressed = null, release = null;
  window.released = async () => { while (pressed) await pressed; };
  const press = () => {
    release?.();
    const mine = pressed = new Promise((done) => { release = done; }).then(() => { if (pressed === mine) pressed = null; });
    setTimeout(release, LONGEST_MS);
  };
  const lift = () => { if (release) setTimeout(release, CLICK_MS); };
  const byKey = (act) => (event) => { if (event.key === " " && !event.repeat && event.target.matches?.("button, summary, [type=radio], [type=checkbox]")) act(); };
  for (const [sign, act] of [["pointerdown", press], ["pointerup", lift], ["pointercancel", lift], ["keydown", byKey(press)], ["keyup", byKey(lift)]]) document.addEventListener(sign, act, true);
  document.addEventListener("htmx:beforeSend", (event) => {
    const answer = event.detail.xhr, act = answer.onload;
    answer.onload = () => window.released().then(act);
  });
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

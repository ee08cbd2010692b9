"use strict";
// What was changed in another window is said here. A page that is hidden or left asks no more, and no answer is no fault.
(() => {
  const EVERY_MS = 5000;
  const box = document.getElementById("elsewhere");
  const ask = () => {
    if (document.hidden) return;
    const base = document.getElementById("base")?.value || "0";
    fetch(box.dataset.address + "?base=" + base)
      .then((answer) => answer.status === 200 ? answer.text() : null)
      .then((text) => window.released().then(() => text))
      .then((text) => { if (text !== null) box.replaceChildren(...new DOMParser().parseFromString(text, "text/html").body.childNodes); })
      .catch(() => {});
  };
  setInterval(ask, EVERY_MS);
  document.addEventListener("visibilitychange", ask);
})();

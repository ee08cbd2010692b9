"use strict";
// After a field was saved the answer above it is fetched anew: the latest wins, an older one still under way is given up. What was
// unfolded in it stays unfolded.
(() => {
  const WAIT_MS = 250;
  let waiting = 0, under = null;
  const found = (name) => document.querySelector(name);
  const say = (words) => { const news = found(".news"); news.textContent = words; news.hidden = false; };
  async function renew() {
    const mine = under = new AbortController();
    const old = found("[data-address][data-shown]");
    try {
      const answer = await fetch(old.dataset.address + "?shown=" + old.dataset.shown, { signal: mine.signal });
      if (!answer.ok) throw new Error(String(answer.status));
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(old.id);
      await window.released();
      mine.signal.throwIfAborted();
      for (const one of old.querySelectorAll("details[open][id]")) fresh.querySelector("#" + one.id)?.setAttribute("open", "");
      old.replaceWith(fresh);
      document.dispatchEvent(new Event("answer-renewed"));
      say("The answer above is up to date.");
    } catch (fault) {
      if (fault.name !== "AbortError") say("The answer above could not be worked out anew: reload the page.");
    }
  }
  document.addEventListener("htmx:afterSettle", () => {
    const news = found(".news");
    if (!news?.dataset.anew) return;
    delete news.dataset.anew;
    clearTimeout(waiting);
    under?.abort();
    waiting = setTimeout(renew, WAIT_MS);
  });
})();

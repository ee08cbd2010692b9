"use strict";
// A link to something that is folded away unfolds it first.
(() => {
  const unfold = () => {
    const at = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const fold = at?.closest("details.folded");
    if (!fold || fold.open) return;
    fold.open = true;
    at.scrollIntoView();
  };
  addEventListener("hashchange", unfold);
  document.addEventListener("click", (event) => { if (event.target.closest?.("a[href*='#']")) setTimeout(unfold); });
  unfold();
})();

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
})();

"use strict";
// The dimension in hand is marked in the drawing and brought into view; a length that goes with a choice shows with it.
(() => {
  const mark = (box) => {
    document.querySelectorAll(".field.now").forEach((other) => other.classList.remove("now"));
    document.querySelectorAll(".now-read").forEach((other) => other.classList.remove("now-read"));
    if (!box) return;
    box.classList.add("now");
    const parts = [...document.querySelectorAll(".d-layer-" + box.dataset.dimension)];
    parts.forEach((part) => part.classList.add("now-read"));
    const view = document.querySelector(".picture .view");
    if (!parts.length || !view) return;
    const [part, whole] = [parts[0].getBoundingClientRect(), view.getBoundingClientRect()];
    view.scrollTop += part.top - whole.top - Math.max(0, (whole.height - part.height) / 2) - Math.min(70, whole.height / 5);
  };
  const withChoice = (select) => {
    const length = document.getElementById(select.dataset.with);
    if (length) length.closest("label").hidden = !["z", "out", "in"].includes(select.value);
  };
  // A place that needs a length says nothing yet: it is sent with that length.
  document.addEventListener("change", (event) => {
    const select = event.target.closest("[data-with]");
    if (!select) return;
    withChoice(select);
    if (["z", "out", "in"].includes(select.value)) { event.stopImmediatePropagation(); document.getElementById(select.dataset.with).focus(); }
  }, true);
  document.addEventListener("focusin", (event) => { if (!event.target.closest(".picture")) mark(event.target.closest(".field")); });
  document.addEventListener("htmx:afterSettle", () => mark(document.activeElement?.closest(".field")));
  mark(document.activeElement?.closest(".field"));
})();

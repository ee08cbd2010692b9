"use strict";
// Nothing typed is thrown away: what a field holds is sent when it is left; what could not be sent says so and is sent again;
// what was typed while an answer was under way stays and is sent after it; what is still unsent goes along when the page closes.
(() => {
  const AGAIN_MS = 3000;
  const token = () => JSON.parse(document.body.getAttribute("hx-headers") || "{}");
  const controls = (form) => [...form.elements].filter((one) => one.id && one.name);
  const values = (form) => new Map(controls(form).map((one) => [one.id, one.value]));
  const fieldForm = (element) => element?.closest?.("form[hx-post]");
  const sent = new WeakMap(), kept = new Map();
  const unsent = new Set(), after = new Set();
  let unfolded = [], inHand = null;

  const say = (text) => { const live = document.getElementById("live"); if (live) live.textContent = text; };
  const standing = (form) => { if (!sent.has(form)) sent.set(form, new Map(controls(form).map((one) => [one.id, atFirst(one)]))); return sent.get(form); };
  const atFirst = (one) => one.tagName === "SELECT" ? ([...one.options].find((option) => option.defaultSelected) || one.options[0])?.value : one.defaultValue;
  const dirty = (form) => controls(form).some((one) => one.value !== standing(form).get(one.id));
  const forms = () => [...document.querySelectorAll(".field form[hx-post]")];

  document.addEventListener("htmx:beforeRequest", (event) => {
    const form = fieldForm(event.target);
    if (form) sent.set(form, values(form));
  });
  document.addEventListener("htmx:beforeSwap", (event) => {
    const form = fieldForm(event.detail.requestConfig.elt);
    if (!form || !event.detail.shouldSwap) return;
    unsent.delete(form.id);
    unfolded = [...event.detail.target.querySelectorAll("details[open]")].map((one) => (one.closest(".field") || one).id);
    const hand = document.activeElement;
    inHand = event.detail.target.contains(hand) && hand.id ? { id: hand.id, start: hand.selectionStart, end: hand.selectionEnd } : null;
    for (const other of event.detail.target.querySelectorAll("form")) {
      // The answer to a form that is itself under way will find its place gone: what it sent is kept and sent once more.
      const before = other !== form && other.classList.contains("htmx-request") ? new Map() : standing(other);
      for (const one of controls(other)) if (one.value !== before.get(one.id)) kept.set(one.id, one.value);
    }
  });
  document.addEventListener("htmx:afterSwap", () => {
    for (const id of unfolded) {
      const one = document.getElementById(id);
      (one?.matches("details") ? one : one?.querySelector("details"))?.setAttribute("open", "");
    }
    for (const [id, value] of kept) {
      const one = document.getElementById(id);
      if (one && one.value !== value) { one.value = value; if (id !== inHand?.id || one.tagName === "SELECT") after.add(one.form.id); }
    }
    const back = inHand && document.getElementById(inHand.id);
    if (back) {
      if (document.activeElement !== back) back.focus();
      if (inHand.start !== null && back.setSelectionRange) back.setSelectionRange(inHand.start, inHand.end);
    }
    kept.clear();
    [unfolded, inHand] = [[], null];
  });
  document.addEventListener("htmx:afterSettle", (event) => {
    for (const id of after) { after.delete(id); const form = document.getElementById(id); if (form) htmx.trigger(form, "submit"); }
    const box = event.target.closest?.(".field");
    if (box) say((box.querySelector(".said.wrong, .said.ask") || box.querySelector(".saved"))?.textContent.trim() || "");
  });
  // The browser tells no change of a text that was put in by a script, so leaving the field asks once more.
  document.addEventListener("focusout", (event) => {
    const form = event.target.form;
    if (form?.matches(".field form[hx-post]") && !event.target.dataset.with) setTimeout(() => { if (form.isConnected && dirty(form)) htmx.trigger(form, "submit"); }, 30);
  });

  document.addEventListener("htmx:sendError", (event) => failed(event.detail.elt, "Not saved yet: the program does not answer. What you typed stays here and is sent again by itself."));
  document.addEventListener("htmx:timeout", (event) => failed(event.detail.elt, "Not saved yet: no answer in time. What you typed stays here and is sent again by itself."));
  document.addEventListener("htmx:responseError", (event) => {
    const status = event.detail.xhr.status;
    failed(event.detail.elt, "Not saved: " + (event.detail.xhr.responseText || "the program refused it").slice(0, 300), status < 500);
  });
  function failed(element, words, refused) {
    const form = fieldForm(element);
    if (!form) return;
    sent.set(form, new Map());
    const said = document.getElementById(form.closest(".field").dataset.dimension + "-said");
    if (said) { said.textContent = words; said.className = "said wrong"; }
    say(words);
    if (!refused) unsent.add(form.id);
  }
  const again = () => { for (const id of [...unsent]) { const form = document.getElementById(id); if (form) htmx.trigger(form, "submit"); else unsent.delete(id); } };
  setInterval(again, AGAIN_MS);
  window.addEventListener("online", again);
  window.addEventListener("beforeunload", (event) => { if (unsent.size) event.preventDefault(); });
  window.addEventListener("pagehide", () => {
    for (const form of forms().filter(dirty)) {
      const body = new FormData(form);
      body.set("base", document.getElementById("base")?.value || "0");
      fetch(form.getAttribute("hx-post"), { method: "POST", body, headers: token(), keepalive: true });
    }
  });
  // What was typed before this script was there is sent now.
  window.addEventListener("load", () => { for (const form of forms().filter(dirty)) if (!form.contains(document.activeElement)) htmx.trigger(form, "submit"); });
})();

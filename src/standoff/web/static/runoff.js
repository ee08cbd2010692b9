"use strict";
// One tap a bar. A tap is kept in this browser until the program has counted it: it is sent in its order, again and again while
// the connection is away, and counts once by its own key however often it is sent. What the program refuses stays here with its
// reason. Without this script the same buttons are plain forms.
(() => {
  const AGAIN_MS = 3000, LOOK_MS = 5000, TWICE_MS = 600, PATIENCE_MS = 15000, IN_FLIGHT_MS = 1500, TESTER = "standoff-tested-by";
  const page = document.getElementById("runoff");
  if (!page) return;
  const job = page.dataset.job, prefix = "standoff-tap/" + job + "/";
  const unkept = new Map();
  let busy = false, away = false, closed = "", lastTap = 0, nth = 0, renewing = null;

  const say = (text) => { const live = document.getElementById("live"); if (live) live.textContent = text; };
  const token = () => JSON.parse(document.body.getAttribute("hx-headers") || "{}");
  const newKey = () => crypto.randomUUID ? crypto.randomUUID() : [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const clock = (at) => new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit" });

  // Where taps are kept: one entry of the browser's storage for each, so that several windows never overwrite one another.
  function keep(tap) {
    try {
      localStorage.setItem(prefix + tap.key, JSON.stringify(tap));
      unkept.delete(tap.key);
    } catch (fault) { unkept.set(tap.key, tap); }
  }
  function forget(tap) {
    unkept.delete(tap.key);
    try { localStorage.removeItem(prefix + tap.key); } catch (fault) { /* nothing was kept there */ }
  }
  function every() {
    const found = new Map();
    try {
      for (let i = 0; i < localStorage.length; i += 1) {
        const name = localStorage.key(i);
        if (!name.startsWith(prefix)) continue;
        try { const tap = JSON.parse(localStorage.getItem(name)); found.set(tap.key, tap); } catch (fault) { /* not one of ours */ }
      }
    } catch (fault) { /* denied: only what this page holds */ }
    for (const [key, tap] of unkept) found.set(key, tap);
    return [...found.values()].sort((a, b) => a.made < b.made ? -1 : a.made > b.made ? 1 : a.nth - b.nth);
  }
  const waiting = () => every().filter((tap) => !tap.refused);

  // Sending, one after another.
  async function post(tap) {
    const body = new URLSearchParams(tap.fields);
    try {
      return await fetch(page.dataset.tap, { method: "POST", body, keepalive: true, headers: { ...token(), "x-standoff-tap": "1" }, signal: AbortSignal.timeout(PATIENCE_MS) });
    } catch (fault) { return null; }
  }
  // A program that was started anew gives its pages another token: it is fetched without losing this page.
  async function tokenAnew() {
    try {
      const answer = await fetch(location.pathname, { signal: AbortSignal.timeout(PATIENCE_MS) });
      if (!answer.ok) return false;
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").body.getAttribute("hx-headers");
      if (!fresh || fresh === document.body.getAttribute("hx-headers")) return false;
      document.body.setAttribute("hx-headers", fresh);
      return true;
    } catch (fault) { return false; }
  }
  async function send() {
    if (busy) return;
    busy = true;
    let counted = 0;
    try {
      for (let tap = waiting()[0]; tap; tap = waiting()[0]) {
        let answer = await post(tap);
        if (answer && answer.status === 403 && await tokenAnew()) answer = await post(tap);
        closed = answer && answer.status === 403 ? "The program was started anew: open the address that it printed. " : "";
        away = !answer || answer.status === 403 || answer.status >= 500;
        if (away) break;
        if (answer.ok) { forget(tap); counted += 1; say("Counted: " + tap.words + "."); continue; }
        const why = (await answer.text()).slice(0, 500);
        if (answer.status === 409) { keep({ ...tap, why }); break; }
        keep({ ...tap, why, refused: true });
        say("Not counted: " + tap.words + ". " + why);
      }
    } finally {
      busy = false;
      await window.released();
      show();
      if (counted) renew();
    }
  }

  // What waits, and what was refused, for everybody to see.
  function show() {
    const box = document.getElementById("waiting"), taps = every();
    const refused = taps.filter((tap) => tap.refused), others = taps.filter((tap) => !tap.refused && (away || tap.why || Date.now() - Date.parse(tap.made) > IN_FLIGHT_MS));
    box.hidden = !refused.length && !others.length;
    box.className = "note no-print " + (refused.length ? "clash" : "unsure");
    const parts = [];
    if (others.length) {
      const held = others.find((tap) => tap.why);
      const count = others.length === 1 ? "1 tap waits" : others.length + " taps wait";
      parts.push(line("p", "? " + count + (held ? ". " : " for the connection. ") + closed + (held ? held.why + " " : "") + (unkept.size ? "This browser cannot keep them (its storage is full or denied): leave this page open until they are through." : "They are kept in this browser and sent again by themselves.")));
      const list = document.createElement("ul");
      for (const tap of others.slice(-5)) list.append(line("li", tap.words + ", " + clock(tap.made)));
      if (others.length > 5) list.prepend(line("li", others.length - 5 + " earlier ones"));
      parts.push(list);
    }
    for (const tap of refused) {
      const one = line("p", "✗ Not counted: " + tap.words + ", " + clock(tap.made) + ". " + tap.why + " ");
      one.append(button("Send it again", () => { const again = { ...tap, refused: false, why: "" }; if (again.fields.at && Date.parse(again.fields.at) > Date.now()) again.fields.at = new Date().toISOString(); keep(again); send(); }), " ", button("Let it go", () => { forget(tap); show(); }));
      parts.push(one);
    }
    box.replaceChildren(...parts);
  }
  const line = (tag, words) => { const one = document.createElement(tag); one.textContent = words; return one; };
  function button(words, act) {
    const one = line("button", words);
    one.type = "button";
    one.addEventListener("click", act);
    return one;
  }

  // Tapping.
  function tapped(form, submitter) {
    const fields = Object.fromEntries(new FormData(form, submitter));
    const made = new Date().toISOString();
    const key = newKey();
    if (fields.kind === "runoff-bar") fields.at = made;
    if (fields.kind === "runoff-signal") { fields.result ||= form.dataset.result; fields.by = document.getElementById("tested-by")?.value.trim() || ""; }
    fields.key = key;
    nth += 1;
    const words = (submitter?.dataset.words || form.dataset.words || "tap") + (fields.run ? " (" + fields.run + ")" : "");
    keep({ key, made, nth, fields, words });
    return { key, made, fields, words };
  }
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-tap]")) return;
    event.preventDefault();
    if (form.dataset.tap === "bar") {
      const now = Date.now(), twice = now - lastTap < TWICE_MS;
      lastTap = now;
      if (twice) { say("Counted once: it was tapped twice within a moment."); return; }
    }
    if (form.dataset.tap === "measure" && !measured(form)) return;
    const tap = form.dataset.tap === "measure" ? null : tapped(form, event.submitter);
    if (form.dataset.tap === "bar") latest(tap);
    show();
    send();
  });
  // Measurements are saved field by field, as they are left.
  function measured(form) {
    const changed = [...form.elements].filter((one) => one.name && one.id && one.value !== one.defaultValue);
    for (const one of changed) {
      const bare = document.createElement("form");
      for (const name of ["kind", "bar"]) bare.append(hidden(name, form.elements[name].value));
      bare.append(hidden(one.name, one.value));
      bare.dataset.words = one.dataset.title + " “" + one.value + "”";
      tapped(bare, null);
      one.defaultValue = one.value;
    }
    return changed.length > 0;
  }
  function noted(note) {
    tapped(note.form, null);
    note.defaultValue = note.value;
  }
  const hidden = (name, value) => { const one = document.createElement("input"); one.type = "hidden"; one.name = name; one.value = value; return one; };
  document.addEventListener("change", (event) => {
    const form = event.target.closest?.("form[data-tap=measure], form[data-tap=signal]");
    if (event.target.id === "tested-by") { try { localStorage.setItem(TESTER, event.target.value.trim()); } catch (fault) { /* not kept, only used */ } }
    if (!form) return;
    if (form.dataset.tap === "signal") noted(event.target);
    if (form.dataset.tap === "measure" && !measured(form)) return;
    show();
    send();
  });
  function tester() {
    const box = document.getElementById("tester");
    if (!box) return;
    box.hidden = false;
    try { box.querySelector("input").value ||= localStorage.getItem(TESTER) || ""; } catch (fault) { /* nothing kept */ }
  }
  // The bar just tapped is the one that is measured, or taken back, next; also while the connection is away.
  function latest(tap) {
    for (const form of document.querySelectorAll("form[data-latest]")) {
      form.hidden = false;
      form.closest("[data-with-bar]").hidden = false;
      form.elements.bar.value = tap.key;
      for (const one of form.elements) if (one.id) { one.value = ""; one.defaultValue = ""; }
    }
    for (const one of document.querySelectorAll("[data-latest-words]")) one.textContent = tap.words + ", " + clock(tap.made);
    page.dataset.shown = "";
  }

  // The answer anew, without touching what somebody is in the middle of.
  const inHand = (part) => part.contains(document.activeElement) && document.activeElement.matches("input, select, textarea");
  const dirty = (part) => [...part.querySelectorAll("input:not([type=hidden]):not([type=radio])")].some((one) => one.value !== one.defaultValue);
  // What is being typed is not moved either: a field that leaves the page would be taken as left.
  const typedIn = (part) => [...part.querySelectorAll("[data-kept]")].some((kept) => inHand(kept) || dirty(kept));
  function replace(old, part) {
    if (!typedIn(old)) { old.replaceWith(part); return; }
    for (const child of [...old.children]) {
      const fresh = child.id && [...part.children].find((one) => one.id === child.id);
      if (fresh && !typedIn(child)) child.replaceWith(fresh);
    }
  }
  async function renew() {
    renewing?.abort();
    const mine = renewing = new AbortController();
    try {
      const answer = await fetch(page.dataset.answer + "?bar=" + encodeURIComponent(page.dataset.shown), { signal: mine.signal });
      if (!answer.ok) throw new Error(String(answer.status));
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      await window.released();
      mine.signal.throwIfAborted();
      const run = document.querySelector("input[name=run]:checked")?.value, focus = document.activeElement?.id;
      const caret = inHand(page) && "selectionStart" in document.activeElement ? document.activeElement.selectionStart : null;
      for (const old of document.querySelectorAll("[data-renewed]")) {
        const part = fresh.getElementById(old.id);
        if (!part) continue;
        for (const open of old.querySelectorAll("details[open][id]")) part.querySelector("#" + CSS.escape(open.id))?.setAttribute("open", "");
        replace(old, part);
      }
      tester();
      page.dataset.lines = fresh.getElementById("runoff-said")?.dataset.lines || page.dataset.lines;
      const again = [...document.querySelectorAll("input[name=run]")].find((one) => one.value === run);
      if (again) again.checked = true;
      const back = focus && document.activeElement?.id !== focus ? document.getElementById(focus) : null;
      back?.focus({ preventScroll: true });
      if (back && caret !== null && back.setSelectionRange) back.setSelectionRange(caret, caret);
      const news = document.getElementById("runoff-news");
      if (news && !news.hidden) news.textContent = "The answer above is up to date.";
    } catch (fault) {
      if (fault.name !== "AbortError") setTimeout(() => { if (renewing === mine) renew(); }, AGAIN_MS);
    }
  }
  document.addEventListener("htmx:afterSettle", () => {
    const news = document.getElementById("runoff-news");
    if (!news?.dataset.anew) return;
    delete news.dataset.anew;
    renew();
    send();
  });
  async function look() {
    if (document.hidden) return;
    try {
      const answer = await fetch(page.dataset.count);
      if (answer.ok && (await answer.text()) !== page.dataset.lines) renew();
    } catch (fault) { /* no connection: the taps say so */ }
  }
  setInterval(look, LOOK_MS);
  setInterval(() => { if (waiting().length) send(); }, AGAIN_MS);
  for (const sign of ["online", "focus", "storage"]) window.addEventListener(sign, () => { show(); if (waiting().length) send(); });
  window.addEventListener("beforeunload", (event) => { if (unkept.size) event.preventDefault(); });
  // What was typed and left before this script was there is kept now.
  for (const form of document.querySelectorAll("form[data-tap=measure]")) if (!form.contains(document.activeElement)) measured(form);
  for (const note of document.querySelectorAll("form[data-tap=signal] input:not([type=hidden])")) if (note !== document.activeElement && note.value !== note.defaultValue) noted(note);
  tester();
  show();
  send();
})();

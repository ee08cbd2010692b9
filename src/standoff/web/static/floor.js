"use strict";
// The loader dragged along the axis: its outlines follow the hand at once; plan, judgement and marks are worked out anew a moment
// later and follow too. Nothing is saved: the standoff belongs to the placement.
(() => {
  const EVERY_MS = 120;
  const one = (id) => document.getElementById(id);
  let job = null, now = 0, home = 0, drawnAt = 0, wanted = null, asking = false, held = null;

  // The same steps of the tape as the program's own texts: sixteenths, or whole millimetres.
  function told(mm) {
    if (job.units === "mm") return Math.round(mm) + " mm";
    const sign = mm < 0 ? "-" : "";
    let parts = Math.round(Math.abs(mm) / 25.4 * 16), under = 16;
    const whole = Math.floor(parts / 16);
    parts -= whole * 16;
    while (parts && parts % 2 === 0) { parts /= 2; under /= 2; }
    return sign + (parts ? (whole ? whole + " " : "") + parts + "/" + under : String(whole)) + " in";
  }
  const pictures = () => [one("floor-wide"), one("floor-narrow")];
  const turned = (picture) => picture.id === "floor-narrow";

  function follow() {
    const words = told(now) + " behind the adapter" + (Math.abs(now - home) < job.step_mm / 4 ? "" : ", not the aim");
    const slide = one("floor-slide");
    slide.value = Math.round(now / job.step_mm);
    one("floor-slide-says").textContent = words;
    for (const picture of pictures()) {
      const by = (now - drawnAt) * Number(picture.dataset.scale);
      const way = turned(picture) ? "0 " + by.toFixed(2) : (-by).toFixed(2) + " 0";
      for (const layer of picture.querySelectorAll(".d-layer-loader"))
        layer.setAttribute("transform", Math.abs(by) > 0.01 ? "translate(" + way + ")" : "");
    }
    slide.setAttribute("aria-valuetext", words + ". " + one("floor-verdict").textContent);
  }
  async function draw() {
    if (asking) return;
    asking = true;
    while (wanted !== null && Math.abs(wanted - drawnAt) > 1e-6) {
      const at = wanted, base = one("floor-answer").dataset.address;
      const answer = await fetch(base + (Math.abs(at - home) < 1e-6 ? "" : "?at=" + at.toFixed(4))).catch(() => null);
      if (!answer || !answer.ok || !one("floor-slide")) break;
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      const open = [...document.querySelectorAll("#floor-answer details[open][id]")].map((details) => details.id);
      for (const part of document.querySelectorAll("#floor-answer [data-follows]")) {
        const made = fresh.getElementById(part.id);
        if (!made) continue;
        Object.assign(part.dataset, made.dataset);
        part.replaceChildren(...made.childNodes);
      }
      for (const id of open) one(id)?.setAttribute("open", "");
      drawnAt = at;
      follow();
      await new Promise((done) => setTimeout(done, EVERY_MS));
    }
    asking = false;
  }
  const to = (mm) => { now = mm; wanted = mm; follow(); draw(); };

  function begin() {
    const box = document.querySelector("#floor-answer [data-drag]");
    if (!box) { job = null; return; }
    job = JSON.parse(box.dataset.drag);
    now = home = drawnAt = job.standoff_mm;
    wanted = null;
    const slide = one("floor-slide");
    slide.min = job.low; slide.max = job.high; slide.step = 1;
    slide.addEventListener("input", () => to(Math.abs(Number(slide.value) - home / job.step_mm) < 0.5 ? home : Number(slide.value) * job.step_mm));
    one("floor-back").addEventListener("click", () => to(home));
    for (const picture of pictures()) {
      picture.addEventListener("pointerdown", (event) => {
        if (!event.target.closest(".d-layer-loader")) return;
        const shown = picture.querySelector("svg");
        held = { x: event.clientX, y: event.clientY, at: now, per: shown.viewBox.baseVal.width / shown.getBoundingClientRect().width / Number(picture.dataset.scale) };
        picture.setPointerCapture(event.pointerId);
        picture.classList.add("held");
        event.preventDefault();
      });
      picture.addEventListener("pointermove", (event) => {
        if (!held) return;
        const by = turned(picture) ? event.clientY - held.y : held.x - event.clientX;
        const mm = held.at + by * held.per;
        to(Math.min(Math.max(Math.round(mm / job.step_mm), job.low), job.high) * job.step_mm);
      });
      const release = () => { held = null; picture.classList.remove("held"); };
      picture.addEventListener("pointerup", release);
      picture.addEventListener("pointercancel", release);
    }
    follow();
  }
  // What a link leads to, or what is wrong, is never folded away.
  function unfold() {
    const at = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const fold = at?.closest("details.entry-folded");
    if (fold && !fold.open) { fold.open = true; at.scrollIntoView(); }
  }
  window.addEventListener("hashchange", unfold);
  document.addEventListener("click", (event) => { if (event.target.closest("a[href*='#']")) setTimeout(unfold, 0); });
  document.addEventListener("answer-renewed", begin);
  begin();
  unfold();
})();

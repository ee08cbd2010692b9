"use strict";
// The loader dragged: every slack, the verdict and the chance follow at once from the coefficients; the loader in the picture
// follows the hand by a shift, and the program draws picture and chart anew a moment later.
(() => {
  const box = document.querySelector("[data-drag]");
  if (!box) return;
  const job = JSON.parse(box.dataset.drag);
  const slide = document.getElementById("slide"), says = document.getElementById("slide-says");
  const verdict = document.getElementById("verdict"), chance = document.getElementById("chance");
  const spoken = document.getElementById("spoken"), why = document.getElementById("why");
  const first = { word: verdict.textContent, kind: verdict.className, chance: chance.textContent, spoken: [...spoken.childNodes], why: [...why.childNodes] };
  const step = job.step_mm, home = job.standoff_mm, low = job.low, high = job.high;
  let curve = [], now = home;
  slide.min = low; slide.max = high; slide.step = 1; slide.value = Math.round(home / step);

  fetch(box.dataset.address + "/chance" + (box.dataset.trial ? "?trial=" + box.dataset.trial : "")).then((answer) => answer.ok ? answer.json() : []).then((points) => { curve = points; });

  // The same steps of the tape as the program's own texts: sixteenths, or whole millimetres.
  function told(mm, finer, round = Math.round) {
    if (job.units === "mm") return (finer ? (round(mm * 10) / 10).toFixed(1) : String(Math.round(mm))).replace(/^-(0(\.0)?)$/, "$1") + " mm";
    const per = finer ? 32 : 16;
    let parts = round(Math.abs(mm) / 25.4 * per);
    const sign = mm < 0 && parts ? "-" : "";
    const whole = Math.floor(parts / per);
    parts -= whole * per;
    let under = per;
    while (parts && parts % 2 === 0) { parts /= 2; under /= 2; }
    return sign + (parts ? (whole ? whole + " " : "") + parts + "/" + under : String(whole)) + " in";
  }
  // Never more to spare than there is, never less missing.
  function spare(slack) {
    if (slack < -1e-6) return told(-slack, true, (steps) => Math.ceil(steps - 1e-6));
    const said = told(Math.max(slack, 0), true, (steps) => Math.floor(steps + 1e-6));
    return slack > 1e-6 && /^0(\.0)? /.test(said) ? "under " + (job.units === "mm" ? "0.1 mm" : "1/32 in") : said;
  }
  // A figure stays on one line with its fraction and its unit, as on the page that the program wrote.
  function put(element, words) {
    element.replaceChildren(...words.split(/(-?\d[\d.]*(?: \d+\/\d+)?(?:\/\d+)? (?:in|mm)\b)/).map((piece, i) => {
      if (i % 2 === 0) return piece;
      const whole = document.createElement("span");
      whole.className = "whole";
      whole.textContent = piece;
      return whole;
    }));
  }
  function chanceAt(mm) {
    if (!curve.length) return null;
    if (mm <= curve[0][0]) return curve[0][1];
    for (let i = 1; i < curve.length; i++) {
      const [a, b] = [curve[i - 1], curve[i]];
      if (mm <= b[0]) return a[1] + (b[1] - a[1]) * (mm - a[0]) / (b[0] - a[0]);
    }
    return curve[curve.length - 1][1];
  }
  function chanceWords(mm) {
    const found = chanceAt(mm);
    if (found === null) return "";
    const hundredths = Math.round(found * 100);
    return hundredths >= 100 ? "more than 99 in 100 that everything holds" : hundredths <= 0 ? "less than 1 in 100 that everything holds" : "about " + hundredths + " in 100 that everything holds";
  }
  // A fixed nose is cut once for the standoff: at every step of the tape the program says by how much.
  function cutAt(mm) {
    if (Math.abs(mm - home) < 1e-6) return job.cut_mm;
    return job.cuts_mm[Math.min(Math.max(Math.round(mm / step) - low, 0), job.cuts_mm.length - 1)];
  }
  function follow(mm) {
    now = mm;
    slide.value = Math.round(mm / step);
    let worst = null, unsure = false;
    const cut = job.cuts_mm.length ? cutAt(mm) - job.cut_mm : 0;
    for (const row of job.rows) {
      const slack = row.slack_mm + row.per_mm * (mm - home) + row.per_cut * cut;
      const shown = document.querySelector("#row-" + CSS.escape(row.id) + " [data-slack]");
      if (shown) { shown.textContent = spare(slack) + (slack < -1e-6 ? " missing" : " to spare"); shown.classList.toggle("wrong", slack < -1e-6); }
      if (slack < -1e-6 && (worst === null || slack < worst.slack)) worst = { row, slack };
      if (slack < row.guard_mm - 1e-6) unsure = true;
    }
    const atHome = Math.abs(mm - home) < step / 4;
    if (atHome) {
      verdict.textContent = first.word; verdict.className = first.kind; chance.textContent = first.chance; spoken.replaceChildren(...first.spoken); why.replaceChildren(...first.why);
    } else {
      const fails = job.free_fails || worst, doubt = unsure || !job.surveyed;
      verdict.textContent = fails ? "✗ Does not hold here" : doubt ? "? Holds, but not surely" : "✓ Holds here";
      verdict.className = "verdict " + (fails ? "clash" : doubt ? "unsure" : "fits");
      chance.textContent = chanceWords(mm);
      put(spoken, "With the nose-clamp face " + told(mm) + " behind the adapter" + (worst ? ", " + worst.row.failure + "." : doubt ? ", everything holds on paper, some of it by less than its guard band." : ", everything holds."));
      put(why, worst ? worst.row.name + ": " + told(-worst.slack, true) + " is missing." : "");
    }
    const words = told(mm) + " behind the adapter";
    says.textContent = words;
    slide.setAttribute("aria-valuetext", words + ". " + verdict.textContent);
    follows();
  }

  // The picture: the loader's own layer follows the hand at once; the program draws the rest a moment later, while it moves too.
  const EVERY_MS = 120;
  const drawings = document.getElementById("drawings"), charts = document.getElementById("charts");
  let drawnAt = home, asking = false, wanted = null;
  const scaleOf = (picture) => Number(drawings.dataset[picture.id + "Scale"]);
  function follows() {
    for (const picture of drawings.children) {
      const by = -(now - drawnAt) * scaleOf(picture);
      // Only the first of several strips shows the clamp beside the adapter.
      const layer = picture.querySelector(".d-layer-loader");
      for (const one of picture.id === "wide" ? picture.querySelectorAll(".d-layer-loader") : layer ? [layer] : [])
        one.setAttribute("transform", Math.abs(by) > 0.01 ? "translate(" + by.toFixed(2) + " 0)" : "");
    }
  }
  async function draw() {
    if (asking) return;
    asking = true;
    while (wanted !== null && Math.abs(wanted - drawnAt) > 1e-6) {
      const at = wanted, query = new URLSearchParams({ mode: box.dataset.mode, state: box.dataset.state, at: at.toFixed(4), trial: box.dataset.trial });
      const answer = await fetch(box.dataset.address + "/drawing?" + query).catch(() => null);
      if (!answer || !answer.ok) break;
      const parts = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = parts.getElementById("drawings");
      Object.assign(drawings.dataset, fresh.dataset);
      for (const picture of [...drawings.children]) picture.replaceChildren(...parts.getElementById(picture.id).childNodes);
      charts.replaceChildren(...parts.getElementById("charts").childNodes);
      drawnAt = at;
      follows();
      await new Promise((done) => setTimeout(done, EVERY_MS));
    }
    asking = false;
  }
  const to = (mm) => { follow(mm); wanted = mm; draw(); };
  slide.addEventListener("input", () => to(Number(slide.value) * step));
  document.getElementById("slide-back").addEventListener("click", () => to(home));

  let held = null;
  for (const picture of drawings.children) {
    picture.addEventListener("pointerdown", (event) => {
      if (!event.target.closest(".d-layer-loader")) return;
      const shown = picture.querySelector("svg");
      held = { x: event.clientX, at: now, per: shown.viewBox.baseVal.width / shown.getBoundingClientRect().width / scaleOf(picture) };
      picture.setPointerCapture(event.pointerId);
      picture.classList.add("held");
      event.preventDefault();
    });
    picture.addEventListener("pointermove", (event) => {
      if (!held) return;
      const mm = held.at - (event.clientX - held.x) * held.per;
      to(Math.min(Math.max(Math.round(mm / step), low), high) * step);
    });
    const release = () => { held = null; picture.classList.remove("held"); };
    picture.addEventListener("pointerup", release);
    picture.addEventListener("pointercancel", release);
  }
  follow(home);
})();

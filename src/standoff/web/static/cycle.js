"use strict";
// One bar in motion. The program draws both machines at one moment, each carrier as a layer of its own, and hands over where
// everything is at every moment; this moves the layers by what they have gone since, times each strip's scale. Between two moments
// all moves evenly, and what closes is closed only if it is at both of them. Nothing moves unless it is asked to.
(() => {
  const QUIET_MS = 700, SHOW_MS = 600, FEW = 4;
  const COLLET = 1, GRIPPER = 2, TOOL = 4, STOP = 8, SUB = 16;
  const less = matchMedia("(prefers-reduced-motion: reduce)");
  const live = document.getElementById("live");
  let stopped = null;

  function player(box) {
    const find = (selector) => box.querySelector(selector);
    const scrub = find("#scrub"), play = find("[data-do=play]"), pace = find("#pace"), last = Number(box.dataset.last);
    const charts = [...document.querySelectorAll("#traces > [data-places]")].map((one) => ({ places: JSON.parse(one.dataset.places), cursor: one.querySelector(".d-layer-cursor") }));
    const pictures = [...box.querySelectorAll(".motion > [data-places]")].map((one) => ({
      strips: JSON.parse(one.dataset.places).map(([zero, scale], i) => ({ zero, scale, layer: (name) => one.querySelectorAll(".d-layer-s" + i + "-" + name) })),
      failing: [...one.querySelectorAll("[class*=' fails-']")],
    }));
    let film = null, now = Number(scrub.value), moving = 0, telling = 0;

    // What the drawing does

    const clamped = (value, [low, high]) => Math.min(Math.max(value, low), high);
    const slide = (layers, by) => layers.forEach((one) => one.setAttribute("transform", Math.abs(by) > 0.005 ? "translate(" + by.toFixed(2) + " 0)" : ""));
    const switched = (strip, name, closed) => {
      strip.layer(name + "-closed").forEach((one) => one.classList.toggle("d-off", !closed));
      strip.layer(name + "-open").forEach((one) => one.classList.toggle("d-off", closed));
    };
    function put(at) {
      const base = film.base, gone = (key) => at[key] - film[key][base];
      const nose = clamped(at.travel, film.nose) - clamped(film.travel[base], film.nose);
      for (const picture of pictures) {
        for (const strip of picture.strips) {
          const { zero, scale, layer } = strip;
          for (const name of ["headstock", "collet-open", "collet-closed"]) slide(layer(name), gone("travel") * scale);
          slide(layer("nose"), nose * scale);
          slide(layer("pusher"), gone("tip") * scale);
          slide(layer("bar-name"), (gone("front") + gone("rear")) / 2 * scale);
          for (const name of ["stop", "sub"]) if (film[name].length) slide(layer(name + "-closed"), gone(name) * scale);
          for (const layered of layer("bar")) {
            const bar = layered.querySelector("rect");
            bar.setAttribute("x", (zero + at.rear * scale).toFixed(2));
            bar.setAttribute("width", Math.max((at.front - at.rear) * scale, 0).toFixed(2));
          }
          for (const mark of layer("fail")) if (mark.classList.contains("rides")) slide([mark], gone("travel") * scale);
          switched(strip, "collet", at.held & COLLET);
          switched(strip, "gripper", at.held & GRIPPER);
          switched(strip, "tool", at.held & TOOL);
          switched(strip, "stop", at.held & STOP);
          switched(strip, "sub", at.held & SUB);
        }
        for (const mark of picture.failing) {
          const id = [...mark.classList].find((name) => name.startsWith("fails-")).slice(6);
          mark.classList.toggle("d-off", !(film.fails[id] || []).some(([from, to]) => from <= at.moment && at.moment <= to));
        }
      }
      for (const { places, cursor } of charts) {
        cursor.classList.remove("d-off");
        cursor.setAttribute("transform", "translate(" + placeOf(places, at.along).toFixed(1) + " 0)");
      }
    }
    function placeOf(places, along) {
      for (let i = 1; i < places.length; i++) {
        const [[a, x], [b, y]] = [places[i - 1], places[i]];
        if (along <= b) return along <= a ? x : x + (y - x) * (along - a) / (b - a);
      }
      return places[places.length - 1][1];
    }
    // Where everything is on the way from one moment to another: 0 is the first, 1 the second.
    function between(from, to, share) {
      const way = (key) => film[key][from] + (film[key][to] - film[key][from]) * share;
      // A stop waits where it is needed next; everything else that holds, holds at both moments.
      const held = film.held[from] & film.held[to] & ~STOP | film.held[to] & STOP;
      // What is cut off goes in one piece, at the end.
      const cut = film.front[to] < film.front[from] && Math.abs(film.rear[to] - film.rear[from]) < 0.05;
      return {
        moment: to, along: from + (to - from) * share,
        travel: way("travel"), tip: way("tip"), rear: way("rear"), front: cut ? film.front[from] : way("front"),
        stop: film.stop[to], sub: way("sub"), held,
      };
    }
    const at = (moment) => ({ ...between(moment, moment, 1), held: film.held[moment] });

    // What is said

    function partWords(moment) {
      const part = film.part[moment];
      return part === 0 ? "no part yet, " + film.count + " to come" : "part " + part + " of " + film.count;
    }
    function say(moment) {
      const step = film.steps[film.step[moment]], least = film.texts[film.said[moment]];
      find("#step-says").textContent = step;
      find("#part-says").textContent = partWords(moment) + " · moment " + (moment + 1) + " of " + (last + 1);
      const slack = find("#slack-says");
      slack.textContent = least;
      slack.className = least.startsWith("✗") ? "clash-word" : "";
      scrub.value = moment;
      scrub.setAttribute("aria-valuetext", step + ", " + partWords(moment));
      clearTimeout(telling);
      // While it plays the screen reader is left in peace.
      if (!moving) telling = setTimeout(() => { live.textContent = step + ", " + partWords(moment) + ". " + least + "."; }, QUIET_MS);
    }
    function show(moment) {
      now = Math.min(Math.max(moment, 0), last);
      put(at(now));
      say(now);
    }

    // What is asked

    function named(plays) {
      play.firstElementChild.textContent = plays ? "❚❚" : "▶";
      play.lastElementChild.textContent = plays ? "Pause" : "Play";
    }
    function pause() {
      if (!moving) return;
      cancelAnimationFrame(moving);
      clearTimeout(moving);
      moving = 0;
      named(false);
      show(now);
    }
    function go(moment) {
      if (!film) return;
      pause();
      show(moment);
    }
    function start() {
      if (!film) return;
      if (now >= last) show(0);
      named(true);
      clearTimeout(telling);
      if (less.matches) beats(); else run();
    }
    // One motion after the other, each as long as the film says; what is left of a frame goes to the next one.
    function run() {
      let entry = film.play.findIndex(([moment]) => moment > now), share = 0, before = null, told = -1;
      moving = requestAnimationFrame(function frame(time) {
        let left = before === null ? 0 : (time - before) / 1000 * Number(pace.value);
        before = time;
        while (entry >= 0 && entry < film.play.length && left >= film.play[entry][1] * (1 - share)) {
          left -= film.play[entry][1] * (1 - share);
          now = film.play[entry][0];
          share = 0;
          entry++;
        }
        if (entry < 0 || entry >= film.play.length) { pause(); return; }
        const [to, seconds] = film.play[entry];
        share += left / seconds;
        put(between(now, to, share));
        if (told !== to) say(told = to);
        moving = requestAnimationFrame(frame);
      });
    }
    // Less motion: from moment to moment, and of the parts in between only a few.
    function beats() {
      const middle = film.play.filter((entry) => entry[2]).map(([moment]) => moment), every = Math.ceil(middle.length / FEW);
      const shown = film.play.map(([moment]) => moment).filter((moment) => !middle.includes(moment) || middle.indexOf(moment) % every === 0);
      moving = setTimeout(function beat() {
        const to = shown.find((moment) => moment > now);
        if (to === undefined) { pause(); return; }
        show(to);
        moving = setTimeout(beat, SHOW_MS / Number(pace.value));
      }, SHOW_MS / Number(pace.value));
    }

    const doing = {
      back: () => go(now - 1),
      on: () => go(now + 1),
      play: () => { if (moving) pause(); else start(); },
      tightest: () => go(Number(box.dataset.tightest)),
    };
    box.addEventListener("click", (event) => { const asked = event.target.closest("[data-do]"); if (asked && film) doing[asked.dataset.do](); });
    scrub.addEventListener("input", () => go(Number(scrub.value)));
    box.addEventListener("keydown", (event) => {
      if (!film || event.ctrlKey || event.altKey || event.metaKey || event.target.matches("select")) return;
      const ranged = event.target === scrub, pressed = event.target.matches("button");
      const asked = event.key === " " && !pressed ? "play" : ranged ? "" : { ArrowLeft: "back", ArrowRight: "on" }[event.key];
      if (!asked) return;
      event.preventDefault();
      doing[asked]();
    });
    for (const button of document.querySelectorAll("#cycle-answer [data-moment]")) button.addEventListener("click", () => {
      go(Number(button.dataset.moment));
      find(".motion").focus({ preventScroll: true });
      box.scrollIntoView({ block: "nearest" });
    });
    const told = () => { find("#still-says").hidden = !less.matches; };
    less.addEventListener("change", () => { pause(); told(); });
    told();

    fetch(box.dataset.address).then((answer) => answer.ok ? answer.json() : Promise.reject(answer.status)).then((found) => {
      film = found;
      find(".controls").hidden = false;
      find(".motion").tabIndex = 0;
      document.querySelectorAll("#cycle-answer [data-moment]").forEach((button) => { button.hidden = false; });
      show(now);
      clearTimeout(telling);
    }).catch(() => { find("#player-fault").hidden = false; });
    return () => { pause(); clearTimeout(telling); };
  }

  function begin() {
    const box = document.getElementById("player");
    stopped?.();
    stopped = box ? player(box) : null;
  }
  begin();
  document.addEventListener("answer-renewed", begin);
})();

"use strict";
// Makes figures answer: a cursor with values, two pins with their difference, zoom on time, a jump to what was
// worst, the run before as a ghost. A figure is complete without it. Everything is drawn from the records that
// are handed over; nothing is fetched here.
//
//   steadfallCharts.draw(element, data, {more, told})  a figure from `charts` (report/page/charts.py) into an element;
//                                                `more(start, end)` may promise finer records of a stretch;
//                                                `told(what)` hears of what is shown, so that another may `follow`
//   steadfallCharts.adopt(svg, book)             a figure that is on the page already
//   steadfallCharts.opened(records)              records to read from
globalThis.steadfallCharts = (() => {
  const APART = 2.5, BUCKET = 8, WIDE = 12, ALIKE = 0.08, HAIR = 0.8, SLANT = 5, COLUMN = 3, NARROW = 0.1, LETTER = 6.9; // as on paper
  const NEAREST = 40; // ms: the shortest stretch that fills the sheet
  const STEPS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1e3, 2e3, 5e3, 1e4, 15e3, 3e4, 6e4, 12e4, 3e5, 6e5, 9e5, 18e5, 36e5, 72e5, 144e5, 432e5, 864e5];

  const say = (words) => globalThis.steadfallWords?.[words] ?? words; // a page may have them in another language

  // -- numbers ----------------------------------------------------------------------------------------------------
  const short = (v) => String(Math.round(v * 10) / 10);
  const fixed = (v, digits) => { const text = v.toFixed(digits); return Number(text) === 0 ? text.replace("-", "") : text; };
  const clock = (ms, fine) => {
    let left = fine ? Math.round(Math.abs(ms)) : Math.round(Math.abs(ms) / 1000) * 1000;
    const rest = String(left % 1000).padStart(3, "0"); left = Math.floor(left / 1000);
    const s = String(left % 60).padStart(2, "0"), m = Math.floor(left / 60) % 60, h = Math.floor(left / 3600);
    return (ms < 0 ? "−" : "") + (h ? h + ":" + String(m).padStart(2, "0") : m) + ":" + s + (fine ? "." + rest : "");
  };
  const summed = (gaps) => { let t = 0; return Float64Array.from(gaps, (gap) => (t += gap)); };
  const values = (kept) => {
    if (!kept) return null;
    const bytes = atob(kept.data), out = new Float64Array(bytes.length / 2); // a string, which is read faster than copied
    for (let i = 0; i < out.length; i++) out[i] = kept.least + kept.unit * (bytes.charCodeAt(2 * i) + 256 * bytes.charCodeAt(2 * i + 1));
    return out;
  };
  function opened(records) { // curves by name, each unpacked when it is first asked for; strips
    const found = new Map();
    const series = (name) => {
      if (!found.has(name) && records.series[name]) {
        const kept = records.series[name], t = kept.times;
        const times = t.each ? summed(t.each) : Float64Array.from({ length: t.count }, (_, i) => t.first + i * t.gap);
        found.set(name, { ...kept, times, mid: values(kept.mid), low: values(kept.low), high: values(kept.high) });
      }
      return found.get(name);
    };
    const strips = Object.fromEntries(Object.entries(records.strips).map(([name, gaps]) => [name, summed(gaps)]));
    return { series, strips, finer: null, ghost: null };
  }
  const after = (times, t) => { // index of the first moment later than t
    let a = 0, b = times.length;
    while (a < b) { const m = (a + b) >> 1; if (times[m] > t) b = m; else a = m + 1; }
    return a;
  };
  const share = (s, t) => {
    const i = Math.max(0, Math.min(s.times.length - 1, after(s.times, t) - 1)), j = Math.min(i + 1, s.times.length - 1);
    return [i, j, s.step || i === j || t < s.times[i] ? 0 : (t - s.times[i]) / (s.times[j] - s.times[i])];
  };
  const valueAt = (s, t) => { const [i, j, f] = share(s, t); return s.mid[i] + f * (s.mid[j] - s.mid[i]); };
  const rangeAt = (s, t) => { const [i, j] = share(s, t), k = s.times[i] >= t ? i : j; return s.low ? [s.low[k], s.high[k]] : null; };
  const words = (s, t) => { // the value, or of a pulsed quantity the range that it had about then
    const range = s.pulsed ? rangeAt(s, t).map((v) => fixed(v, s.digits)) : null;
    return range && range[0] !== range[1] ? range.join(" to ") : fixed(valueAt(s, t), s.digits);
  };

  // -- curves and strips ------------------------------------------------------------------------------------------
  function thinned(s, a, b, columns) {
    const from = Math.max(0, after(s.times, a) - 2), to = Math.min(s.times.length, after(s.times, b) + 1);
    const t = [], mid = [], low = [], high = [], lows = s.low || s.mid, highs = s.high || s.mid;
    const each = to - from > 2 * columns;
    let last = null, n = 0;
    for (let i = from; i < to; i++) {
      const column = each ? Math.floor(((s.times[i] - a) / (b - a)) * columns) : i, k = t.length - 1;
      if (column !== last) { t.push(s.times[i]); mid.push(s.mid[i]); low.push(lows[i]); high.push(highs[i]); last = column; n = 1; continue; }
      n++; t[k] += (s.times[i] - t[k]) / n; mid[k] += (s.mid[i] - mid[k]) / n;
      low[k] = Math.min(low[k], lows[i]); high[k] = Math.max(high[k], highs[i]);
    }
    const calm = mid.map((v, i) => { // where doses beat with the columns
      if (!each || !i || i === mid.length - 1) return v;
      const p = mid[i - 1], n = mid[i + 1], narrowest = Math.min(...[i - 1, i, i + 1].map((k) => high[k] - low[k]));
      return Math.max(Math.abs(v - p), Math.abs(n - v)) < narrowest ? Math.min(high[i], Math.max(low[i], (p + 2 * v + n) / 4)) : v;
    });
    return { t, mid: calm, low, high };
  }
  function peaks(s, a, b, columns) { // of each column the first and last, the least and greatest record
    const from = Math.max(0, after(s.times, a) - 2), to = Math.min(s.times.length, after(s.times, b) + 1), all = [];
    if (to - from <= 4 * columns) { for (let i = from; i < to; i++) all.push(i); return all; }
    for (let i = from; i < to; ) {
      const column = Math.floor(((s.times[i] - a) / (b - a)) * columns);
      let j = i, least = i, most = i;
      for (; j < to && Math.floor(((s.times[j] - a) / (b - a)) * columns) === column; j++) {
        if (s.mid[j] < s.mid[least]) least = j;
        if (s.mid[j] > s.mid[most]) most = j;
      }
      all.push(...new Set([i, Math.min(least, most), Math.max(least, most), j - 1]));
      i = j;
    }
    return all;
  }
  function held(s, x, y, view) {
    const from = Math.max(0, after(s.times, view[0]) - 1), to = after(s.times, view[1]);
    let d = "M" + short(x(s.times[from])) + " " + short(y(s.mid[from]));
    for (let i = from + 1; i < to; i++) d += "H" + short(x(s.times[i])) + "V" + short(y(s.mid[i]));
    return d + "H" + short(x(Math.min(view[1], s.times[s.times.length - 1])));
  }
  const plain = (s, x, y, view, px) =>
    "M" + peaks(s, view[0], view[1], px).map((i) => short(x(s.times[i])) + " " + short(y(s.mid[i]))).join("L");
  function shade(s, x, y, view, columns) { // the run before: its line, or where doses beat the edges of its band
    if (s.step) return held(s, x, y, view);
    if (!s.low) return plain(s, x, y, view, COLUMN * columns);
    const thin = thinned(s, view[0], view[1], columns);
    return (s.pulsed ? [thin.low, thin.high] : [thin.mid]).map((vs) => "M" + vs.map((v, i) => short(x(thin.t[i])) + " " + short(y(v))).join("L")).join("");
  }
  function curve(group, s, ghost, x, view, columns) {
    const [y0, y1, v0, v1] = group.dataset.y.split(" ").map(Number);
    const y = (v) => y0 + ((v - v0) / (v1 - v0)) * (y1 - y0);
    const line = group.querySelector(".line"), band = group.querySelector(".band");
    if (ghost) group.querySelector(".ghost").setAttribute("d", shade(ghost, x, y, view, columns));
    if (s.step || !band) { line.setAttribute("d", s.step ? held(s, x, y, view) : plain(s, x, y, view, COLUMN * columns)); return; }
    const thin = thinned(s, view[0], view[1], columns), points = (vs) => vs.map((v, i) => short(x(thin.t[i])) + " " + short(y(v)));
    let d = "", shown = false; // a pulsed quantity has a line where its band is narrow
    points(thin.mid).forEach((point, i) => {
      const wide = s.pulsed && thin.high[i] - thin.low[i] > NARROW * (v1 - v0);
      if (!wide) d += (shown ? "L" : "M") + point;
      shown = !wide;
    });
    line.setAttribute("d", d);
    if (band) band.setAttribute("d", "M" + points(thin.high).concat(points(thin.low).reverse()).join("L") + "Z");
  }
  function pieces(moments, x, view, x0, x1) {
    const seen = [];
    for (let i = 0; i + 1 < moments.length; i += 2) if (moments[i + 1] > view[0] && moments[i] < view[1]) seen.push([moments[i], moments[i + 1]]);
    const near = (p, q) => {
      const gap = x(q[0]) - x(p[1]), u = x(p[1]) - x(p[0]), v = x(q[1]) - x(q[0]);
      return Math.max(u, v) <= WIDE && (gap < APART || (Math.min(u, v) < APART && gap < 2 * APART));
    };
    const out = [];
    for (let i = 0; i < seen.length; ) {
      let j = i + 1;
      while (j < seen.length && near(seen[j - 1], seen[j])) j++;
      if (j - i === 1) {
        const left = Math.max(x0, x(seen[i][0]));
        out.push({ left, right: Math.max(Math.min(x1, x(seen[i][1])), left + HAIR), share: 1, one: seen[i] });
      } else out.push(...shaded(seen.slice(i, j), x, x0, x1));
      i = j;
    }
    return out;
  }
  function shaded(cluster, x, x0, x1) {
    const left = Math.max(x0, x(cluster[0][0])), right = Math.min(x1, x(cluster[cluster.length - 1][1]));
    const count = Math.max(1, Math.round((right - left) / BUCKET)), width = Math.max(HAIR, right - left) / count, open = new Array(count).fill(0);
    for (const [p, q] of cluster) {
      const a = Math.max(left, x(p)) - left, b = Math.min(right, x(q)) - left;
      for (let i = Math.min(count - 1, Math.floor(a / width)); i <= Math.min(count - 1, Math.floor(b / width)); i++)
        open[i] += Math.max(0, Math.min(b, (i + 1) * width) - Math.max(a, i * width));
    }
    const joined = [];
    open.forEach((px, i) => {
      const p = { left: left + i * width, right: left + (i + 1) * width, share: px / width }, k = joined[joined.length - 1];
      if (k && Math.abs(k.share - p.share) < ALIKE) { k.share = (k.share * (k.right - k.left) + px) / (p.right - k.left); k.right = p.right; }
      else joined.push(p);
    });
    return joined;
  }
  const acts = (group) => "signal" in group.dataset ? [say("off"), say("on")] : [say("shut"), say("open")];
  function strip(group, moments, x, view, x0, x1) {
    const [top, height] = group.dataset.box.split(" ");
    group.querySelector(".open").innerHTML = pieces(moments, x, view, x0, x1).map((p) => {
      const box = `x="${short(p.left)}" y="${top}" width="${(p.right - p.left).toFixed(2)}" height="${height}"`;
      if (!p.one) return `<rect class="many" ${box} opacity="${(0.15 + 0.6 * p.share).toFixed(2)}"/>`;
      const words = `${acts(group)[1]} ${clock(p.one[0], true)} ${say("to")} ${clock(p.one[1], true)}, ${((p.one[1] - p.one[0]) / 1000).toFixed(3)} s`;
      return `<rect class="one" ${box}><title>${words}</title></rect>`;
    }).join("");
    for (const path of group.querySelectorAll(".unknown")) {
      const a = Math.max(x0, x(+path.dataset.from)), b = Math.min(x1, x(+path.dataset.to)), foot = +top + +height;
      let d = "";
      if (b > a) for (let s = a; s + SLANT <= b; s += SLANT) d += `M${short(s)} ${foot}l${SLANT} ${-height}`;
      path.setAttribute("d", b > a ? d + `M${short(a)} ${top}H${short(b)}V${foot}H${short(a)}Z` : "");
    }
  }
  const state = (group, moments, t) => { // what a valve or a signal is doing, and for how long in all
    const i = after(moments, t), said = acts(group)[i % 2];
    if (!i || i >= moments.length) return said;
    const ms = moments[i] - moments[i - 1];
    return `${said} ${ms < 60000 ? (ms / 1000).toFixed(3) + " s" : clock(ms, true)}`;
  };

  // -- one figure -------------------------------------------------------------------------------------------------
  function adopt(svg, book, more, told) {
    const { strips } = book, series = (name) => (book.finer && book.finer.series(name)) || book.series(name);
    const all = svg.dataset.window.split(" ").map(Number), [x0, x1, top, foot] = svg.dataset.plot.split(" ").map(Number);
    const width = svg.viewBox.baseVal.width, find = (s) => [...svg.querySelectorAll(s)], tools = svg.parentNode.querySelector(".tools");
    const parts = { curves: find("[data-series]"), strips: find("[data-strip]"), moments: find("[data-t]"), spans: find(".span"), rules: find(".rule[data-until]"), values: find("[data-value]"), states: find("[data-state]") };
    const cursors = svg.querySelector(".cursors"), now = svg.querySelector("[data-now]"), readings = svg.parentNode.querySelector(".readings");
    let view = [...all], pins = [], hover = null, drag = null, due = false, waiting = 0;
    const x = (t) => x0 + ((t - view[0]) / (view[1] - view[0])) * (x1 - x0);
    const time = (px) => view[0] + ((Math.min(x1, Math.max(x0, px)) - x0) / (x1 - x0)) * (view[1] - view[0]);
    const place = (event) => { const box = svg.getBoundingClientRect(); return ((event.clientX - box.left) / box.width) * width; };

    function axis() {
      const most = 12, span = view[1] - view[0], step = STEPS.find((s) => Math.floor(span / s) + 1 <= most) || span / most, fine = step < 1000;
      let lines = "", names = "";
      for (let t = Math.ceil(view[0] / step) * step; t <= view[1]; t += step) {
        lines += `M${short(x(t))} ${top}V${foot}`;
        for (const y of [top - 9, foot + 15]) names += `<text class="tick mid" x="${short(x(t))}" y="${y}">${clock(t, fine)}</text>`;
      }
      svg.querySelector(".grid.time").setAttribute("d", lines);
      svg.querySelector(".times").innerHTML = names;
    }
    function stretch(group) {
      const a = Math.max(x0, x(+group.dataset.from)), b = Math.min(x1, x(+group.dataset.to)), box = group.querySelector("rect"), name = group.querySelector("text");
      group.setAttribute("display", b > a ? "inline" : "none");
      if (b <= a) return;
      box.setAttribute("x", a); box.setAttribute("width", b - a);
      name.setAttribute("x", (a + b) / 2);
      name.setAttribute("display", b - a > LETTER * name.textContent.length + 8 ? "inline" : "none");
    }
    function draw() {
      due = false;
      axis();
      parts.curves.forEach((group) => curve(group, series(group.dataset.series), former(group.dataset.series), x, view, Math.floor((x1 - x0) / COLUMN)));
      parts.strips.forEach((group) => strip(group, strips[group.dataset.strip], x, view, x0, x1));
      parts.spans.forEach(stretch);
      for (const group of parts.moments) {
        const t = +group.dataset.t;
        group.setAttribute("display", t < view[0] || t > view[1] ? "none" : "inline");
        group.setAttribute("transform", `translate(${short(x(t))} 0)`);
      }
      for (const rule of parts.rules) {
        const y = rule.getAttribute("d").match(/^M\S+ ([^L]+)/)[1];
        rule.setAttribute("d", `M${x0} ${y}L${short(Math.min(x1, Math.max(x0, x(+rule.dataset.until))))} ${y}`);
      }
      mark();
    }
    const lanes = Object.fromEntries(parts.strips.map((group) => [group.dataset.strip, group]));
    const standing = (name, t) => state(lanes[name], strips[name], t);
    function mark() { // cursors and the values that go with them
      const t = hover ?? pins[pins.length - 1] ?? view[1];
      const one = (at, name, look) => at < view[0] || at > view[1] ? "" : `<g class="cursor ${look}"><path d="M${short(x(at))} ${top}V${foot}"/><text x="${short(x(at))}" y="${top + 3}">${name} ${clock(at, true)}</text></g>`;
      const choice = drag && drag.far ? `<rect class="choice" x="${Math.min(drag.from, drag.to)}" y="${top}" width="${Math.abs(drag.to - drag.from)}" height="${foot - top}"/>` : "";
      cursors.innerHTML = choice + pins.map((at, i) => one(at, "AB"[i], "pin")).join("") + (hover === null ? "" : one(hover, "", "hover"));
      now.textContent = say("at") + " " + clock(t, true);
      for (const label of parts.values) label.textContent = words(series(label.dataset.value), t);
      for (const label of parts.states) label.textContent = hover === null && !pins.length ? "" : standing(label.dataset.state, t);
    }
    function table() {
      readings.hidden = !pins.length;
      if (!pins.length) return;
      const two = pins.length === 2, cell = (words) => `<td class="number">${words}</td>`, head = (words) => `<th class="number">${words}</th>`;
      const escape = (words) => words.replace(/&/g, "&amp;").replace(/</g, "&lt;");
      const was = (name, t) => { const g = former(name); return g ? `, ${say("before")} ${words(g, t)}` : ""; };
      const value = (s, t) => { const r = rangeAt(s, t); return fixed(valueAt(s, t), s.digits) + (r ? ` (${fixed(r[0], s.digits)} to ${fixed(r[1], s.digits)})` : ""); };
      let rows = [...new Set(parts.curves.map((group) => group.dataset.series))].map((name) => {
        const s = series(name), change = two ? valueAt(s, pins[1]) - valueAt(s, pins[0]) : 0;
        return `<tr><td>${escape(name)}</td>` + pins.map((t) => cell(value(s, t) + was(name, t))).join("") + (two ? cell((change > 0 ? "+" : "") + fixed(change, s.digits)) : "") + `<td>${s.symbol}</td></tr>`;
      });
      rows = rows.concat(parts.strips.map((group) => `<tr><td>${escape(group.dataset.strip.split("|").pop())}</td>` + pins.map((t) => cell(standing(group.dataset.strip, t))).join("") + (two ? "<td></td>" : "") + "<td></td></tr>"));
      const times = pins.map((t, i) => head(`${"AB"[i]} ${clock(t, true)}`)).join("") + (two ? head(`B − A ${((pins[1] - pins[0]) / 1000).toFixed(3)} s`) : "");
      readings.innerHTML = `<table><thead><tr><td></td>${times}<td></td></tr></thead><tbody>${rows.join("")}</tbody></table>`;
    }
    function show(a, b) { // a view within the whole, never too near
      const span = Math.min(all[1] - all[0], Math.max(NEAREST, b - a)), start = Math.min(all[1] - span, Math.max(all[0], (a + b - span) / 2));
      view = [start, start + span];
      refine();
      if (told) told({ view: [...view] });
      if (!due) { due = true; requestAnimationFrame(draw); }
    }
    function refine() { // finer records of what is in sight, where there are any
      if (!more) return;
      if (book.finer && (view[0] < book.finer.from || view[1] > book.finer.to)) book.finer = null;
      clearTimeout(waiting);
      if (book.finer || view[1] - view[0] > (all[1] - all[0]) / 2) return;
      const [a, b] = view, asked = (waiting = setTimeout(async () => {
        const found = opened(await more(Math.floor(a), Math.ceil(b)));
        if (asked !== waiting) return; // the view has moved on
        book.finer = Object.assign(found, { from: Math.floor(a), to: Math.ceil(b) });
        draw();
      }, 150));
    }
    const zoom = (factor, about) => show(about - (about - view[0]) * factor, about + (view[1] - about) * factor);
    const pan = (part) => { const by = part * (view[1] - view[0]); show(view[0] + by, view[1] + by); };
    const middle = () => pins.find((t) => t > view[0] && t < view[1]) ?? (view[0] + view[1]) / 2;
    const stick = (all) => { pins = all; table(); mark(); };
    const pin = (t) => { stick(pins.length === 2 ? [t] : [...pins, t]); if (told) told({ pins: [...pins] }); };
    const jump = (t) => { const half = (all[1] - all[0]) / 24; pins = [Math.round(t)]; show(t - half, t + half); table(); };
    const unpin = () => { stick([]); if (told) told({ pins: [] }); };
    const follow = (what) => { // what another figure was told: nothing is told on
      const own = told;
      told = null;
      if (what.view) show(...what.view);
      if (what.pins) stick(what.pins);
      if ("hover" in what) { hover = what.hover; mark(); }
      told = own;
    };
    const keys = {
      ArrowLeft: () => pan(-0.2), ArrowRight: () => pan(0.2), "+": () => zoom(0.5, middle()), "=": () => zoom(0.5, middle()),
      "-": () => zoom(2, middle()), 0: () => show(...all), Home: () => show(...all), Escape: unpin,
      Enter: () => pin(Math.round((view[0] + view[1]) / 2)),
    };

    const former = (name) => book.ghost && book.ghost.series(name);
    for (const group of parts.curves) if (former(group.dataset.series)) {
      const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
      path.setAttribute("class", "ghost");
      group.prepend(path);
    }
    for (const group of svg.querySelectorAll(".balloon")) {
      const name = group.querySelector("title").textContent;
      group.setAttribute("role", "button"); group.setAttribute("tabindex", "0"); group.setAttribute("aria-label", `${say("go to")} ${name}`);
      group.addEventListener("pointerdown", (event) => event.stopPropagation());
      group.addEventListener("click", () => jump(+group.dataset.t));
      group.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.stopPropagation(); jump(+group.dataset.t); } });
    }

    svg.tabIndex = 0;
    svg.setAttribute("role", "group"); // no longer a mere picture
    svg.setAttribute("aria-label", svg.querySelector("title").textContent);
    svg.addEventListener("keydown", (event) => { if (keys[event.key] && !event.ctrlKey && !event.metaKey) { event.preventDefault(); keys[event.key](); } });
    svg.addEventListener("wheel", (event) => {
      if (document.activeElement !== svg && !event.ctrlKey) return; // the page scrolls until the figure is chosen
      event.preventDefault(); zoom(event.deltaY > 0 ? 1.25 : 0.8, time(place(event)));
    }, { passive: false });
    svg.addEventListener("pointerdown", (event) => {
      const px = place(event);
      if (event.button === 0 && px >= x0 - 4 && px <= x1 + 4) { drag = { from: px, to: px, far: false, view: [...view], pan: event.shiftKey }; svg.setPointerCapture(event.pointerId); }
    });
    svg.addEventListener("pointermove", (event) => {
      const px = place(event);
      hover = px < x0 || px > x1 ? null : Math.round(time(px));
      if (told) told({ hover });
      if (drag) {
        drag.to = Math.min(x1, Math.max(x0, px)); drag.far ||= Math.abs(drag.to - drag.from) > 6;
        if (drag.pan) { const by = ((drag.from - drag.to) / (x1 - x0)) * (drag.view[1] - drag.view[0]); show(drag.view[0] + by, drag.view[1] + by); return; }
      }
      mark();
    });
    svg.addEventListener("pointerup", () => {
      const done = drag; drag = null;
      if (!done) return;
      if (!done.far) pin(Math.round(time(done.from)));
      else if (!done.pan) show(...[time(done.from), time(done.to)].sort((a, b) => a - b));
      mark();
    });
    svg.addEventListener("pointercancel", () => { drag = null; hover = null; mark(); });
    svg.addEventListener("pointerleave", () => { if (!drag) { hover = null; if (told) told({ hover }); mark(); } });

    for (const [name, words, act] of [["+", "nearer", keys["+"]], ["−", "further", keys["-"]], ["◂", "earlier", keys.ArrowLeft], ["▸", "later", keys.ArrowRight], ["whole", "the whole figure", keys[0]], ["unpin", "remove the pins", unpin]]) {
      const button = document.createElement("button");
      button.type = "button"; button.textContent = say(name); button.title = say(words); button.setAttribute("aria-label", say(words));
      button.addEventListener("click", act); tools.append(button);
    }
    tools.append(say("Point to read, click to pin one moment and then another, drag to look closer.") + " " + say("Keys: arrows, + - 0, Enter pins the middle, Esc."));
    tools.hidden = false;
    if (book.ghost) tools.append(" " + say("The thin blue lines are the run before."));
    if (book.ghost || "bare" in svg.dataset) draw(); // curves that are not there yet
    const still = () => ({ view: view[0] === all[0] && view[1] === all[1] ? null : [...view], pins: [...pins] });
    const restore = (was) => { // after a new run: the same stretch of time, the same marks
      pins = was.pins.filter((t) => t <= all[1]);
      if (was.view) show(...was.view);
      table(); mark();
    };
    return { show, jump, pin, unpin, follow, whole: () => show(...all), place: still, restore };
  }

  // -- a figure that was handed over ------------------------------------------------------------------------------
  const drawn = new WeakMap();
  function draw(element, data, { more, told } = {}) { // where one was drawn before, its stretch of time and its marks stay
    const was = drawn.get(element)?.place();
    element.innerHTML = '<div class="tools" hidden></div><ul class="worst"></ul>' + data.svg + '<div class="readings" hidden></div>';
    const book = opened(data.records);
    book.ghost = data.ghost ? opened(data.ghost) : null;
    const charts = adopt(element.querySelector("svg"), book, more, told);
    for (const row of data.limits) {
      const button = document.createElement("button"), item = document.createElement("li");
      button.type = "button"; button.textContent = `${row.number} ${row.words}`; button.className = row.kept ? "good" : "bad";
      button.disabled = row.time_ms === null;
      button.addEventListener("click", () => charts.jump(row.time_ms));
      item.append(button); element.querySelector(".worst").append(item);
    }
    drawn.set(element, charts);
    if (was) charts.restore(was);
    return charts;
  }

  const kept = document.getElementById("records"); // a report, which is a file
  if (kept) {
    const book = opened(JSON.parse(kept.textContent));
    const figures = [...document.querySelectorAll("svg.figure:not(.still)")].map((svg) => adopt(svg, book));
    for (const link of document.querySelectorAll("[data-jump]")) link.addEventListener("click", () => figures[0].jump(+link.dataset.jump));
  }
  return { draw, adopt, opened };
})();

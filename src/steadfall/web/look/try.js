// Draws a trial as it goes: curves of the plant, and under them a strip for each signal. It asks the server for
// what is new, some ten times a second, and draws what it has; words of the plan go in as text alone.
const NS = "http://www.w3.org/2000/svg";
let LEFT = 170;
const RIGHT = 86, ROW = 22, LINE = 13, WIDE = 34, STRIP = 13, CHART = 108, TOP = 22, GAP = 12, EVERY_MS = 100;
const STEPS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 3600, 7200].map((one) => 1000 * one);
const LOOKS = ["", "7 3", "2 3", "9 3 2 3"];
const drawn = { span_ms: null, mark: null, hover: null };
let place = null, sheet = null, news = null, rows = [], charts = [], changes = [], samples = [], words = {};
let parts = {}, busy = false, timer = 0;

const make = (name, given, parent) => {
  const one = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(given)) one.setAttribute(key, value);
  parent?.append(one);
  return one;
};
const text = (parent, given, said) => Object.assign(make("text", given, parent), { textContent: said });
const clock = (ms, fine) => {
  const s = Math.floor(ms / 1000), h = Math.floor(s / 3600), two = (n) => String(n).padStart(2, "0");
  const head = h ? `${h}:${two(Math.floor(s / 60) % 60)}` : `${Math.floor(s / 60)}`;
  return `${head}:${two(s % 60)}${fine ? "." + String(Math.round(ms) % 1000).padStart(3, "0") : ""}`;
};

export function show(id, said) {
  const element = document.getElementById(`c${id}`);
  words = said;
  if (!element || element === place) return;
  place = element;
  news = sheet = null;
  clearInterval(timer);
  timer = setInterval(look, EVERY_MS);
  new ResizeObserver(() => sheet && lay()).observe(place);
  look();
}
export function span(seconds) { drawn.span_ms = seconds === null ? null : 1000 * seconds; draw(); }
export function ask(what) {
  const at_ms = Math.round(drawn.mark ?? news?.now_ms ?? 0);
  place?.dispatchEvent(new CustomEvent(what, { detail: { at_ms } }));
}
export function seen(id) { document.getElementById(`c${id}`)?.scrollIntoView({ block: "nearest" }); }

async function look() {
  if (busy || !place?.isConnected || document.hidden) return;
  busy = true;
  try {
    const has = news ? `number=${news.number}&changes=${news.changes_to}&samples=${news.samples_to}` : "";
    const answer = await fetch(`/news/try?${has}`);
    if (answer.ok) take(await answer.json());
  } catch { /* the server has gone; the page says so itself */ } finally { busy = false; }
}

function take(told) {
  const anew = told.sheet !== null && told.sheet !== undefined, before = news;
  news = told;
  if (anew) {
    const same = sheet && JSON.stringify(sheet) === JSON.stringify(told.sheet);
    sheet = told.sheet;
    changes = []; samples = [];
    drawn.mark = drawn.hover = null;
    if (!sheet.lanes) { sheet = null; place.replaceChildren(); return; }
    changes = sheet.lanes.map(() => []);
    if (!same || !place.firstChild) lay();
  }
  if (!sheet) return;
  for (const [ms, k, value] of told.changes) changes[k].push([ms, value]);
  samples.push(...told.samples);
  say();
  if (anew || before?.now_ms !== told.now_ms || told.changes.length) draw();
  hold();
}

// Why it goes no further, or that it cannot go as fast as it is to.
function say() {
  const slow = news.going && news.pace < 0.9 * news.speed ? `${news.pace} ${words.slow}` : "";
  const told = news.over || slow, place_of = document.querySelector("[data-told]");
  if (place_of && place_of.textContent !== told) place_of.textContent = told;
}

// The controls beside: how each stands, and what the controller is shown.
function hold() {
  for (const one of document.querySelectorAll("[data-shown]")) {
    const value = news.shown?.[one.dataset.shown];
    if (value === undefined) continue;
    const unit = one.dataset.unit;
    one.textContent = unit ? `${value} ${unit}` : value >= 0.5 ? one.dataset.on : one.dataset.off;
  }
  for (const one of document.querySelectorAll("[data-usual][data-held]")) {
    const on = (news.held?.[one.dataset.held] ?? one.dataset.usual) === one.dataset.checked;
    one.setAttribute("aria-checked", String(on));
  }
  for (const one of document.querySelectorAll("[data-level]")) {
    const value = news.shown?.[one.dataset.level];
    if (value !== undefined && document.activeElement !== one) one.value = value;
  }
}

function lay() {
  const width = Math.max(520, place.clientWidth), held = document.activeElement?.dataset?.lane;
  place.replaceChildren();
  LEFT = Math.min(250, 26 + 7 * Math.max(14, ...sheet.lanes.flatMap((one) => lined(one.words)).map((one) => one.length)));
  const svg = make("svg", { width, class: "trial-figure", role: "group" }, place);
  const grid = make("path", { class: "grid" }, svg), ticks = make("g", { class: "ticks" }, svg);
  parts = { svg, width, right: width - RIGHT, grid, ticks };
  let y = TOP;
  charts = [...new Set(sheet.curves.map((one) => one.of))].map((of) => {
    const curves = sheet.curves.map((one, k) => ({ ...one, k })).filter((one) => one.of === of);
    const height = Math.max(CHART, 16 * curves.length + 16);
    const group = make("g", { class: "chart" }, svg);
    text(group, { x: LEFT, y: y + 11, class: "title" }, `${of.replaceAll("_", " ")}, ${curves[0].unit}`);
    const lines = make("path", { class: "grid" }, group), scale = make("g", { class: "ticks" }, group);
    const chart = { top: y + 16, height: height - 20, lines, scale, curves };
    chart.curves.forEach((one, n) => {
      const at = y + 26 + 16 * n;
      one.band = make("path", { class: "band" }, group);
      const look = { class: `curve look-${n % 4}`, "stroke-dasharray": LOOKS[n % 4] };
      one.line = make("path", look, group);
      make("path", { ...look, d: `M2 ${at - 4}h24` }, group);
      text(group, { x: 32, y: at }, short(one.words));
      one.value = text(group, { x: width - RIGHT + 8, y: at }, "");
    });
    y += height + GAP;
    return chart;
  });
  let title = "";
  rows = sheet.lanes.map((lane, k) => {
    if (lane.group !== title) {
      title = lane.group;
      text(svg, { x: 2, y: (y += 16) - 4, class: "title" }, title);
    }
    const given = { class: "lane", tabindex: k ? -1 : 0, role: "button", "data-lane": k };
    const group = make("g", given, svg), end = width - RIGHT;
    const name = lined(lane.states.length ? "stage" : lane.words), height = ROW + LINE * (name.length - 1);
    make("rect", { class: "hit", x: 0, y, width, height }, group);
    name.forEach((one, n) => text(group, { x: LEFT - 8, y: y + 15 + LINE * n, class: "side" }, one));
    make("path", { class: "rest", d: `M${LEFT} ${y + 17.5}H${end}` }, group);
    const on = make("path", { class: "on" }, group), states = make("g", { class: "states" }, group);
    const row = { lane, y, group, on, states, value: text(group, { x: end + 8, y: y + 15 }, "") };
    y += height;
    return row;
  });
  parts.end = y + 4;
  svg.setAttribute("height", y + 54);
  svg.setAttribute("viewBox", `0 0 ${width} ${y + 54}`);
  parts.off = make("path", { class: "off" }, svg);
  parts.cursor = make("g", { class: "cursor" }, svg);
  parts.breaks = make("g", { class: "breaks" }, svg);
  draw();
  if (held !== undefined) rows[held]?.group.focus();
}
// A name in as many lines as it takes, parted between words.
function lined(name) {
  const lines = [""], least = Math.ceil(name.length / WIDE); // about alike in length
  const wide = Math.min(WIDE, Math.ceil(name.length / least) + 5);
  for (const word of name.split(" ")) {
    const last = lines.at(-1), more = last ? `${last} ${word}` : word;
    if (last && more.length > wide) lines.push(word);
    else lines[lines.length - 1] = more;
  }
  return lines;
}
// Names that are alike differ at their end more often than in the middle: the middle is left out.
const short = (name) => (name.length > 32 ? `${name.slice(0, 17).trimEnd()}\u2026${name.slice(-14).trimStart()}` : name);

function frame() {
  const now = news.now_ms, end = sheet.end_ms;
  const fit = end === null ? 60000 : Math.max(200, 1.05 * (end - sheet.begin_ms)); // a replay is drawn whole
  const span_ms = drawn.span_ms === 0 ? Math.max(now, 1000, 1.05 * (end ?? 0)) : drawn.span_ms ?? fit;
  const to = Math.max(end === null ? now : 1.05 * (end - sheet.begin_ms) + sheet.begin_ms, span_ms);
  const from = to - span_ms;
  return { from, to, x: (ms) => LEFT + ((ms - from) / (to - from)) * (parts.right - LEFT) };
}

function draw() {
  if (!sheet || !news || !parts.svg || news.now_ms === undefined) return;
  const at = frame();
  axis(at);
  charts.forEach((chart) => curve(chart, at));
  const moment = drawn.hover ?? drawn.mark ?? news.now_ms;
  rows.forEach((row, k) => strip(row, changes[k], at, moment));
  const gone = (news.cuts ?? sheet.cuts).filter(([, back]) => back > at.from);
  const hatched = gone.map(([a, b]) => hatch(at.x(Math.max(a, at.from)), at.x(Math.min(b, news.now_ms, at.to))));
  parts.off.setAttribute("d", hatched.join(""));
  line(parts.cursor, at, drawn.hover ?? drawn.mark, words.moment, 44);
  const broken = sheet.end_ms !== null && news.now_ms >= sheet.end_ms;
  line(parts.breaks, at, broken ? sheet.end_ms : null, words.breaks, 31);
}

function axis(at) {
  const room = Math.max(2, Math.floor((parts.right - LEFT) / 90)), want = (at.to - at.from) / room;
  const step = STEPS.find((one) => one >= want) ?? 14400000;
  let d = "";
  parts.ticks.replaceChildren();
  for (let ms = Math.ceil(at.from / step) * step; ms <= at.to; ms += step) {
    d += `M${at.x(ms).toFixed(1)} ${TOP - 4}V${parts.end}`;
    const x = at.x(ms).toFixed(1);
    for (const y of [TOP - 9, parts.end + 15]) text(parts.ticks, { x, y, class: "mid" }, clock(ms, step < 1000));
  }
  parts.grid.setAttribute("d", d);
}

function curve(chart, at) {
  const now = news.values, all = samples.filter((one) => one[0] >= at.from - 400);
  const seen = (k) => all.flatMap((one) => [one[2][k], one[3][k]]).concat(now[k]);
  let low = Infinity, high = -Infinity;
  for (const v of chart.curves.flatMap((one) => seen(one.k))) [low, high] = [Math.min(low, v), Math.max(high, v)];
  const least = chart.curves[0].of === "pressure" ? 1 : 10;
  const more = Math.max(0, least - (high - low)) / 2 + 0.04 * (high - low);
  low -= more; high += more;
  const y = (v) => chart.top + chart.height * (1 - (v - low) / (high - low));
  const step = nice((high - low) / 3);
  let d = "";
  chart.scale.replaceChildren();
  for (let v = Math.ceil(low / step) * step; v <= high; v += step) {
    d += `M${LEFT} ${y(v).toFixed(1)}H${parts.right}`;
    text(chart.scale, { x: LEFT - 6, y: (y(v) + 4).toFixed(1), class: "side" }, String(+v.toFixed(3)));
  }
  chart.lines.setAttribute("d", d);
  const moment = drawn.hover ?? drawn.mark;
  for (const one of chart.curves) {
    const of = (s) => [at.x(Math.max(s[0], at.from)), y(s[1][one.k]), y(s[2][one.k]), y(s[3][one.k])];
    const points = all.map(of);
    points.push([at.x(news.now_ms), ...Array(3).fill(y(now[one.k]))]);
    one.line.setAttribute("d", "M" + points.map((p) => `${p[0].toFixed(1)} ${p[1].toFixed(1)}`).join("L"));
    const edge = (n) => points.map((p) => `${p[0].toFixed(1)} ${p[n].toFixed(1)}`);
    const there = edge(3), back = edge(2).reverse();
    one.band.setAttribute("d", `M${there.join("L")}L${back.join("L")}Z`);
    const sample = moment === null ? null : samples.findLast((s) => s[0] <= moment);
    one.value.textContent = (sample ? sample[1][one.k] : now[one.k]).toFixed(one.digits);
  }
}
function nice(rough) {
  const power = 10 ** Math.floor(Math.log10(rough));
  return power * [1, 2, 5, 10].find((one) => one * power >= rough);
}

function strip(row, all, at, moment) {
  const { lane, y } = row, now = news.now_ms === sheet.end_ms ? at.to : news.now_ms; // what the last scan gave
  let first = all.findLastIndex((one) => one[0] <= at.from);
  const seen = all.slice(Math.max(0, first));
  const piece = ([ms, value], n) => [Math.max(ms, at.from), Math.min(seen[n + 1]?.[0] ?? now, at.to), value];
  const pieces = seen.map(piece).filter(([a, b]) => b > a || a === now);
  if (lane.states.length || lane.unit !== null) {
    const most = Math.max(1, lane.states.length - 1);
    row.states.replaceChildren();
    for (const [a, b, value] of pieces) {
      const x = at.x(a), width = Math.max(0.8, at.x(b) - x), said = word(lane, value);
      const depth = lane.states.length ? ((0.3 * value) / most).toFixed(2) : 0;
      const box = { x: x.toFixed(1), y: y + 3, width: width.toFixed(1), height: 16, "fill-opacity": depth };
      make("rect", box, row.states);
      const middle = { x: (x + width / 2).toFixed(1), y: y + 15, class: "mid" };
      if (width > 7 * said.length + 6) text(row.states, middle, said);
    }
  } else {
    const box = (x, width) => `M${x.toFixed(2)} ${y + 4}h${Math.max(0.8, width).toFixed(2)}v${STRIP}H${x.toFixed(2)}z`;
    const filled = pieces.filter(([, , value]) => value).map(([a, b]) => box(at.x(a), at.x(b) - at.x(a)));
    row.on.setAttribute("d", filled.join(""));
  }
  const held = all.findLast((one) => one[0] <= moment);
  const said = held ? word(lane, held[1]) : "";
  row.value.textContent = said.length > 12 ? `${said.slice(0, 11)}\u2026` : said;
  row.group.setAttribute("aria-label", `${lane.words}: ${said}`);
}
function word(lane, value) {
  if (lane.states.length) return lane.states[value] ?? "";
  return lane.unit !== null ? `${+value.toFixed(3)} ${lane.unit}` : value ? "on" : "off";
}

function hatch(left, right) {
  let d = "";
  for (let x = left; x < right; x += 6) d += `M${x.toFixed(1)} ${parts.end}l${Math.min(6, right - x)} ${TOP - parts.end}`;
  return d;
}

function line(group, at, ms, said, below) {
  group.replaceChildren();
  if (ms === null || ms < at.from || ms > at.to) return;
  const x = at.x(ms), after = x < LEFT + 170;
  make("path", { d: `M${x.toFixed(1)} ${TOP - 4}V${parts.end + 18}` }, group);
  const given = { x: (x + (after ? 5 : -5)).toFixed(1), y: parts.end + below, class: after ? "" : "side" };
  text(group, given, `${said} ${clock(ms, true)}`);
}

// The pointer and the keys: a line at a moment; a strip that is chosen says why.
const moment = (event) => {
  const at = frame(), x = event.clientX - place.getBoundingClientRect().left;
  if (x < LEFT || x > parts.right) return null;
  const ms = at.from + ((x - LEFT) / (parts.right - LEFT)) * (at.to - at.from);
  return Math.min(news.now_ms, Math.max(0, Math.round(ms)));
};
const here = (event) => sheet && news && event.target.closest?.(".trial") === place;
function why(lane, at_ms) {
  drawn.mark = at_ms;
  draw();
  place.dispatchEvent(new CustomEvent("why", { detail: { name: sheet.lanes[lane].name, at_ms: Math.round(at_ms) } }));
}
document.addEventListener("pointermove", (event) => {
  const at = here(event) ? moment(event) : null;
  if (at !== drawn.hover && (here(event) || drawn.hover !== null)) { drawn.hover = at; draw(); }
});
document.addEventListener("click", (event) => {
  if (!here(event)) return;
  const row = event.target.closest(".lane"), at = moment(event);
  if (row) why(Number(row.dataset.lane), at ?? drawn.mark ?? news.now_ms);
  else if (at !== null) { drawn.mark = at; draw(); }
});
document.addEventListener("keydown", (event) => {
  if (!here(event)) return;
  const k = Number(event.target.closest(".lane")?.dataset.lane ?? 0), by = event.shiftKey ? 1000 : sheet.scan_ms;
  const now = drawn.mark ?? news.now_ms;
  const ways = {
    Enter: () => why(k, now), " ": () => why(k, now),
    ArrowDown: () => focus(k + 1), ArrowUp: () => focus(k - 1),
    ArrowLeft: () => { drawn.mark = Math.max(0, now - by); },
    ArrowRight: () => { drawn.mark = Math.min(news.now_ms, now + by); },
    Escape: () => { drawn.mark = null; },
  };
  if (!ways[event.key]) return;
  event.preventDefault();
  ways[event.key]();
  draw();
});
function focus(k) {
  if (!rows[k]) return;
  for (const row of rows) row.group.setAttribute("tabindex", row === rows[k] ? 0 : -1);
  rows[k].group.focus();
}

// Sets of one client against each other: verdicts first, then each measure with its evidence.
const DAY = 86400;
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const VERDICT_CLASS = { "changed": "changed", "unchanged": "unchanged", "cannot tell yet": "cannot" };

function day(seconds) {
  const date = new Date(seconds * 1000);
  return date.getUTCDate() + " " + MONTHS[date.getUTCMonth()];
}

function timeRange() {
  const times = data.sets.map((set) => set.time);
  const from = Math.min(...times), to = Math.max(...times);
  const margin = Math.max(DAY, (to - from) * 0.05);
  return [from - margin, to + margin];
}

function timeAxis(extra) {
  const incrs = [1, 2, 7, 14, 28, 56, 91, 182, 364].map((days) => days * DAY);
  return axis({ incrs, size: 32, space: 60, values: (u, at) => at.map(day), ...extra });
}

// Error bars, drawn over the line of the values.
function errorBars(measure) {
  const draw = (u) => {
    const { ctx } = u, cap = 4 * devicePixelRatio;
    ctx.save();
    ctx.strokeStyle = colour("first");
    ctx.setLineDash([]);
    ctx.lineWidth = 1.5 * devicePixelRatio;
    ctx.beginPath();
    for (const point of measure.points) {
      const x = u.valToPos(data.sets[point.set].time, "x", true);
      const high = u.valToPos(point.value + measure.sem, "y", true);
      const low = u.valToPos(point.value - measure.sem, "y", true);
      ctx.moveTo(x, high); ctx.lineTo(x, low);
      for (const y of [high, low]) { ctx.moveTo(x - cap, y); ctx.lineTo(x + cap, y); }
    }
    ctx.stroke();
    ctx.restore();
  };
  return { hooks: { draw } };
}

function baselineBand(measure) {
  let band = null;
  const init = (u) => { band = el("div", { class: "reach" }); u.over.prepend(band); };
  const draw = (u) => place(u, band, null, null, measure.band.low, measure.band.high);
  return { hooks: { init, draw } };
}

function valueRange(measure) {
  const marks = measure.points.flatMap((p) => [p.value - measure.sem, p.value + measure.sem]);
  if (measure.band) marks.push(measure.band.low, measure.band.high);
  const low = Math.min(...marks), high = Math.max(...marks);
  const margin = (high - low || 1) * 0.08;
  return [low - margin, high + margin];
}

function trendSeries(measure) {
  const last = measure.points.length - 1;
  return measure.points.map((p, i) => {
    if (!measure.trend) return null;
    return i === 0 ? measure.trend.first : i === last ? measure.trend.last : null;
  });
}

function measurePlot(measure) {
  const times = measure.points.map((p) => data.sets[p.set].time);
  const shown = (u, v, si, i) => (i === null || i === undefined ? "–" : measure.points[i].text);
  return (host, width) => new uPlot({
    width, height: 230,
    scales: { x: { time: false, range: timeRange }, y: { range: () => valueRange(measure) } },
    cursor: { sync: { key: measure.name }, drag: { x: false, y: false }, y: false },
    axes: [timeAxis(), axis({ size: 56, values: (u, at) => at.map((v) => v + measure.unit) })],
    series: [
      { label: "date", value: (u, v) => (v === null ? "–" : day(v)) },
      { label: "set", stroke: colour("first"), width: 1, dash: [2, 4], value: shown, points: { show: true, size: 9, fill: colour("first") } },
      { label: "trend", show: Boolean(measure.trend), stroke: colour("second"), width: 2, dash: [9, 5], spanGaps: true, points: { show: false }, value: () => "" },
    ],
    plugins: [errorBars(measure), ...(measure.band ? [baselineBand(measure)] : [])],
  }, [times, measure.points.map((p) => p.value), trendSeries(measure)], host);
}

function loadPlot(measure) {
  const sets = measure.points.map((p) => data.sets[p.set]);
  const highest = Math.max(1, ...sets.map((set) => set.load_kg || 0));
  return (host, width) => new uPlot({
    width, height: 120,
    scales: { x: { time: false, range: timeRange }, y: { range: () => [0, highest * 1.15] } },
    cursor: { sync: { key: measure.name }, drag: { x: false, y: false }, y: false },
    axes: [timeAxis(), axis({ size: 56, space: 24, values: (u, at) => at.map((v) => v + " kg") })],
    series: [
      { label: "date", value: (u, v) => (v === null ? "–" : day(v)) },
      { label: "load", stroke: colour("third"), fill: colour("band"), width: 1.5, points: { show: true, size: 7, fill: colour("third") },
        value: (u, v, si, i) => (i === null || i === undefined ? "–" : sets[i].load + ", " + sets[i].reps + " reps, " + sets[i].effort) },
    ],
  }, [sets.map((set) => set.time), sets.map((set) => set.load_kg)], host);
}

function verdict(measure) {
  return measure.verdict ? el("span", { class: "verdict " + VERDICT_CLASS[measure.verdict] }, measure.verdict) : null;
}

function figure(title, note, make) {
  const host = el("div", {});
  addPlot(host, make);
  return el("figure", { role: "group", "aria-label": title }, el("figcaption", {}, el("h3", {}, title), el("span", { class: "soft" }, note)), host);
}

function sides(measure) {
  if (!measure.verdict) return null;
  return el("dl", { class: "sides" },
    el("dt", {}, "baseline"), el("dd", {}, measure.baseline + " – " + measure.baseline_sets),
    el("dt", {}, "latest"), el("dd", {}, measure.latest + " – " + measure.latest_sets),
    measure.trend_words ? [el("dt", {}, "trend"), el("dd", {}, measure.trend_words)] : null);
}

function measureSection(measure) {
  const several = measure.points.length > 1;
  const loads = measure.points.some((p) => data.sets[p.set].load_kg !== null);
  const legend = "bars: error of one set (one sigma)" + (measure.band ? "; shaded: what measuring again can differ by, around the baseline" : "") + (measure.trend ? "; dashed: trend" : "");
  return el("details", { id: measure.name, class: "measure", "data-measure": measure.name, open: measure.verdict === "changed" },
    el("summary", {}, el("h2", {}, measure.title), " ", verdict(measure)),
    el("p", {}, measure.words), sides(measure), el("p", { class: "soft" }, measure.error_words),
    several ? figure(measure.title + " by date", legend, measurePlot(measure)) : null,
    several && loads ? figure("load", "of the same sets", loadPlot(measure)) : null,
    several && !loads ? el("p", { class: "soft" }, "Load was not logged with these sets.") : null);
}

function summary() {
  const row = (m) => el("tr", { "data-measure": m.name },
    el("th", { scope: "row" }, el("a", { href: "#" + m.name }, m.title), m.sign ? el("span", { class: "soft" }, m.sign) : null),
    el("td", { class: "start" }, verdict(m) || "–"),
    el("td", {}, m.difference || "–"), el("td", {}, m.mdc || "–"), el("td", {}, m.baseline || "–"), el("td", {}, m.latest || "–"));
  const heads = ["measure", "verdict", "difference", "noise, 95 %", "baseline", "latest"];
  return el("section", { id: "summary" }, el("h2", {}, "What changed by more than the measurement noise"),
    el("p", { class: "soft" }, "First week against last week, like with like. A verdict says whether the number moved, not whether that is what was wanted. " + data.chance),
    data.measures.length === 0 ? el("p", {}, "No measure to compare.") :
      scrollBox("verdicts", el("table", { class: "data", id: "summary-table" },
        el("thead", {}, el("tr", {}, heads.map((h) => el("th", { scope: "col", class: h === "verdict" ? "start" : null }, h)))), el("tbody", {}, data.measures.map(row)))),
    data.missing.length ? el("div", { id: "missing" }, el("h3", {}, "Not in the latest set"), list(data.missing)) : null,
    data.depth_note ? el("p", { class: "soft", id: "depth-note" }, "Thigh depth: " + data.depth_note) : null);
}

// Those that changed are open; a link to another opens it.
function measures() {
  const boxes = data.measures.map(measureSection);
  const all = el("button", { type: "button" }, "open all");
  all.addEventListener("click", () => boxes.forEach((box) => { box.open = true; }));
  const follow = () => {
    const box = boxes.find((one) => "#" + one.id === location.hash);
    if (box) { box.open = true; box.scrollIntoView(); }
  };
  window.addEventListener("hashchange", follow);
  return el("div", { id: "measures" }, el("div", { class: "zoom" }, el("span", { class: "soft" }, "Measure by measure; those that changed are open."), all), boxes);
}

function setTable() {
  const row = (set) => el("tr", { "data-set": set.name, class: set.compared ? null : "apart" },
    el("th", { scope: "row", class: "day" }, set.date),
    el("td", {}, set.load), el("td", {}, set.reps), el("td", {}, set.effort), el("td", {}, set.pain), el("td", {}, set.name));
  const apart = data.sets.filter((set) => !set.compared).map((set) => set.why_not);
  return el("section", { id: "sets" }, el("h2", {}, "The sets"),
    scrollBox("sets", el("table", { class: "data", id: "set-table" },
      el("thead", {}, el("tr", {}, ["date", "load", "full reps", "effort", "pain", "recording"].map((h) => el("th", { scope: "col" }, h)))),
      el("tbody", {}, data.sets.map(row)))),
    apart.length ? list(apart) : null);
}

show(head(), painAlert(), summary(), setTable(), data.measures.length ? measures() : null, cautions());
if (plots.length) keepPlotsDrawn();

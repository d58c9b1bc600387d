// One set: traces with the reps marked, the rep table, and how to read both.
const SERIES_STROKES = ["first", "second", "third"];
const SERIES_DASHES = [[], [7, 4], [2, 3]];

// Bands are elements over the plot (a printed canvas hides what lies under it), so that style and
// print treat them like the page.
function repBands(tags) {
  let bands = [];
  const init = (u) => {
    bands = data.reps.map((rep) => {
      const band = el("div", { class: rep.part ? "band part" : "band", "data-rep": rep.label },
        tags ? el("span", { class: "tag" }, rep.label) : null,
        el("span", { class: "turn" }), el("span", { class: "turn" }));
      u.over.prepend(band);
      return band;
    });
  };
  const draw = (u) => {
    data.reps.forEach((rep, i) => {
      const from = place(u, bands[i], rep.start_s, rep.end_s, null, null);
      const turns = bands[i].querySelectorAll(".turn");
      turns[0].style.left = u.valToPos(rep.turn_in_s, "x") - from + "px";
      turns[1].style.left = u.valToPos(rep.turn_out_s, "x") - from + "px";
    });
  };
  return { hooks: { init, draw } };
}

// Dragging or double-clicking in one plot moves all of them.
let zooming = false;
function followZoom(u, key) {
  if (key !== "x" || zooming) return;
  zooming = true;
  showStretch(u.scales.x.min, u.scales.x.max);
  zooming = false;
  markZoom(u.scales.x.min, u.scales.x.max);
}

function traceOptions(plot, width, isFirst) {
  const shown = (u, value) => (value === null ? "–" : value.toFixed(1) + plot.unit);
  const series = plot.series.map((one, i) => ({
    label: plot.series.length === 1 ? plot.title : one.label,
    stroke: colour(SERIES_STROKES[i % 3]), dash: SERIES_DASHES[i % 3], width: 1.75,
    points: { show: false }, value: shown,
  }));
  return {
    width, height: isFirst ? 300 : 170,
    scales: { x: { time: false } },
    cursor: { sync: { key: "set" }, drag: { x: true, y: false }, y: false, points: { size: 7 } },
    axes: [axis({ size: 32, values: (u, at) => at.map((v) => v + " s") }), axis({ size: 52, values: (u, at) => at.map((v) => v + plot.unit) })],
    series: [{ label: "time", value: (u, v) => (v === null ? "–" : v.toFixed(2) + " s") }, ...series],
    hooks: { setScale: [followZoom] },
    plugins: [repBands(isFirst)],
  };
}

function traceFigure(plot, isFirst) {
  const host = el("div", {});
  addPlot(host, (at, width) => new uPlot(traceOptions(plot, width, isFirst), [data.t, ...plot.series.map((s) => s.values)], at));
  return el("figure", { "data-trace": plot.base, role: "group", "aria-label": plot.title + " over time" },
    el("figcaption", {}, el("h3", {}, plot.title), plot.sign ? el("span", { class: "soft" }, plot.sign) : null), host);
}

const zoomButtons = [];
function markZoom(min, max) {
  for (const { button, from, to } of zoomButtons) {
    button.setAttribute("aria-pressed", Math.abs(from - min) < 1e-6 && Math.abs(to - max) < 1e-6);
  }
}

function zoomBar() {
  const first = data.t[0], last = data.t[data.t.length - 1];
  const add = (label, title, from, to) => {
    const button = el("button", { type: "button", "aria-pressed": "false", "aria-label": title }, label);
    button.addEventListener("click", () => showStretch(from, to));
    zoomButtons.push({ button, from, to });
  };
  add("whole recording", "show the whole recording", first, last);
  data.reps.forEach((rep) => {
    const title = rep.part ? "show the part rep at " + rep.start_s.toFixed(1) + " s" : "show rep " + rep.label;
    add(rep.label, title, Math.max(first, rep.start_s - 0.5), Math.min(last, rep.end_s + 0.5));
  });
  zoomButtons[0].button.setAttribute("aria-pressed", "true");
  return el("div", { class: "zoom", role: "group", "aria-label": "stretch of time shown" }, zoomButtons.map((z) => z.button));
}

function traces() {
  if (data.plots.length === 0 || data.t.length < 2) return null;
  const main = data.plots.filter((plot) => plot.main), more = data.plots.filter((plot) => !plot.main);
  return el("section", { id: "traces" }, el("h2", {}, "The set over time"),
    el("p", { class: "soft" }, "Shaded: reps, with their turns dashed. Hatched: part reps, shown but not counted. Drag across a plot, or use the buttons, to look closer; double-click shows all again."),
    zoomBar(), main.map((plot, i) => traceFigure(plot, i === 0)),
    more.length ? el("details", { id: "more-traces" }, el("summary", {}, "More traces: " + more.map((plot) => plot.title).join(", ")), more.map((plot) => traceFigure(plot, false))) : null);
}

function cell(value, classes) {
  if (!value) return el("td", { class: classes }, "–");
  return el("td", { class: classes }, value.value, el("span", { class: "u" }, value.u));
}

function meaning(row) {
  return [row.per_rep, row.sign].filter(Boolean).join("; ");
}

// On a phone the table has no room for them.
function meanings() {
  const entries = data.rows.filter(meaning).flatMap((row) => [el("dt", {}, row.title), el("dd", {}, meaning(row))]);
  return el("details", { id: "meanings" }, el("summary", {}, "What each number is"), el("dl", { class: "sides" }, entries));
}

function measureRow(row) {
  const note = meaning(row);
  return el("tr", { "data-measure": row.name },
    el("th", { scope: "row" }, row.title, note ? el("span", { class: "soft" }, note) : null),
    row.cells.map((one, i) => cell(one, data.reps[i].part ? "part" : null)),
    cell(row.mean, "whole"), el("td", { class: "whole" }, row.spread || "–"));
}

function repTable() {
  const heads = data.reps.map((rep) => el("th", { scope: "col", "data-rep": rep.label, class: rep.part ? "part" : null }, rep.part ? "part rep" : "rep " + rep.label));
  return el("table", { class: "data", id: "rep-table" },
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "measure"), heads, el("th", { scope: "col", class: "whole" }, "mean"), el("th", { scope: "col", class: "whole" }, "spread"))),
    el("tbody", {}, data.rows.map(measureRow)));
}

function reps() {
  if (data.reps.length === 0) {
    return el("section", { id: "reps" }, el("h2", {}, "Rep by rep"), el("p", {}, "No rep was found in this recording."));
  }
  const missing = data.not_measured.map((one) => el("li", {}, el("strong", {}, one.measures), ": " + one.reason));
  return el("section", { id: "reps" }, el("h2", {}, "Rep by rep"),
    el("p", { class: "soft" }, data.how_to_read + " Mean and spread (standard deviation) are of the full reps."),
    scrollBox("measures of each rep", repTable()),
    data.depth_note ? el("p", { class: "soft", id: "depth-note" }, "Thigh depth: " + data.depth_note) : null,
    meanings(),
    missing.length ? el("div", { id: "not-measured" }, el("h3", {}, "Not measured"), el("ul", {}, missing)) : null);
}

// What no single rep shows: clusters, the loss of velocity, how alike the curves were.
function wholeSet() {
  if (!data.clusters && data.set_rows.length === 0) return null;
  const rows = data.set_rows.map((row) => el("tr", { "data-measure": row.name }, el("th", { scope: "row" }, row.title), cell(row)));
  return el("section", { id: "whole-set" }, el("h2", {}, "The set as a whole"),
    data.clusters ? el("p", { id: "clusters" }, data.clusters + ".") : null,
    rows.length ? scrollBox("measures of the set as a whole", el("table", { class: "data", id: "set-table" },
      el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "measure"), el("th", { scope: "col" }, "value"))), el("tbody", {}, rows))) : null,
    rows.length ? el("p", { class: "soft" }, "The spread of a curve is the standard deviation between the full reps, each stretched to the same length, over all of the rep.") : null);
}

// Which of the known ways of doing it this was nearest to: a description, no verdict.
function variation(a) {
  return a.variation ? el("p", { id: "variation" }, a.variation) : null;
}

// What this client meant to do, and what became of it.
function aim() {
  const a = data.aim;
  if (a.none !== undefined) return a.none ? el("section", { id: "aim" }, el("h2", {}, "Aim"), el("p", {}, a.none), variation(a)) : null;
  const verdict = el("span", { class: "verdict " + a.verdict.style }, a.verdict.words);
  const judged = a.measures.filter((row) => row.judged), open = a.measures.filter((row) => !row.judged);
  return el("section", { id: "aim" }, el("h2", {}, "Aim: " + a.title + " ", verdict),
    el("p", {}, a.words), a.reservation ? el("p", {}, a.reservation) : null,
    variation(a),
    el("p", { class: "soft" }, a.purpose + " For " + a.loads + "."),
    a.matters.length ? el("div", { id: "matters" }, el("h3", {}, "Matters most for this aim"), list(a.matters)) : null,
    judged.length ? scrollBox("each rep against the aim", aimTable(a, judged)) : null,
    open.length ? el("div", { id: "not-judged" }, el("h3", {}, "Not judged"), list(open.map((row) => row.words))) : null,
    a.measures.length ? el("p", { class: "soft" }, a.how_to_read) : null,
    a.measures.length ? bandReasons(a) : null);
}

function aimTable(a, rows) {
  const mark = (cell) => el("td", { class: "placed " + cell.style }, cell.words);
  return el("table", { class: "data", id: "aim-table" },
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "asked for"), a.reps.map((rep) => el("th", { scope: "col" }, "rep " + rep.label)), el("th", { scope: "col", class: "whole" }, "set"))),
    el("tbody", {}, rows.map((row) => el("tr", { "data-measure": row.name },
      el("th", { scope: "row" }, row.title, el("span", { class: "soft" }, row.edges)), row.cells.map(mark), el("td", { class: "whole" }, el("span", { class: "verdict " + row.verdict.style }, row.verdict.words)))),
      el("tr", {}, el("th", { scope: "row" }, "all together"), a.reps.map(mark), el("td", { class: "whole" }, el("span", { class: "verdict " + a.verdict.style }, a.verdict.words)))));
}

function bandReasons(a) {
  const seen = new Set();
  const once = a.measures.filter((row) => !seen.has(row.why) && seen.add(row.why));
  const entries = once.flatMap((row) => [el("dt", {}, row.title), el("dd", {}, row.why, el("span", { class: "soft" }, " " + row.source))]);
  return el("details", { id: "reasons" }, el("summary", {}, "Why each is asked for"), el("dl", { class: "sides" }, entries));
}

function seen() {
  if (data.seen.length === 0) return null;
  const items = data.seen.map((one) => el("li", {}, one.words, el("span", { class: "soft" }, " " + one.source)));
  return el("section", { id: "seen", class: "heed" }, el("h2", {}, "Seen in this set, whatever the aim"), el("ul", {}, items));
}

function notes() {
  const items = [...data.notes];
  if (items.length === 0 && !data.client_notes) return null;
  return el("section", { id: "notes" }, el("h2", {}, "Notes"),
    data.client_notes ? el("p", {}, "Logged with the set: " + data.client_notes) : null,
    items.length ? list(items) : null);
}

function straps() {
  if (data.straps.length === 0) return null;
  const entries = data.straps.flatMap((strap) => [el("dt", {}, strap.label), el("dd", {}, strap.value)]);
  return el("section", { id: "straps" }, el("h2", {}, "Straps"), el("dl", { class: "sides" }, entries));
}

show(head(), painAlert(), seen(), aim(), traces(), reps(), wholeSet(),
  el("div", { class: "pair" }, notes(), straps(), cautions()),
  el("footer", {}, "From " + data.made_from + (data.made_by ? ", analysed by " + data.made_by : "") + "."));
if (plots.length) keepPlotsDrawn();

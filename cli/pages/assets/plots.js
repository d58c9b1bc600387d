// What all plots share: colours from the style sheet, width from the page, redraw when either changes.
function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();
}

function axis(extra) {
  const grid = { stroke: colour("grid"), width: 1 };
  return { stroke: colour("soft"), grid, ticks: grid, font: "12px ui-sans-serif, system-ui, sans-serif", ...extra };
}

// Each plot is made by a function of the width, so that it can be made again; only where it is
// seen: in a closed box it has no width.
const plots = [];
let shownStretch = null;  // {min, max} of x that all plots show; null: everything

function addPlot(host, make) {
  plots.push({ host, make, made: null });
}

const PAPER_WIDTH = 640;  // fits inside the margins of A4 and Letter

// All plots, or those inside one box.
function drawPlots(box) {
  const paper = document.documentElement.classList.contains("on-paper");
  for (const plot of plots) {
    if (box && !box.contains(plot.host)) continue;
    if (plot.made) plot.made.destroy();
    plot.made = null;
    const width = plot.host.clientWidth;
    if (width === 0) continue;
    plot.made = plot.make(plot.host, paper ? PAPER_WIDTH : Math.max(240, width));
    if (shownStretch) plot.made.setScale("x", shownStretch);
  }
}

function showStretch(min, max) {
  shownStretch = { min, max };
  for (const plot of plots) if (plot.made) plot.made.setScale("x", shownStretch);
}

function keepPlotsDrawn() {
  drawPlots();
  let width = window.innerWidth;
  window.addEventListener("resize", () => {
    if (window.innerWidth === width) return;  // a phone's address bar changes the height alone
    width = window.innerWidth;
    drawPlots();
  });
  for (const box of document.querySelectorAll("details")) {
    if (box.querySelector("figure")) box.addEventListener("toggle", () => drawPlots(box));
  }
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => drawPlots());
  const onPaper = (yes) => {
    document.documentElement.classList.toggle("on-paper", yes);
    drawPlots();
  };
  window.addEventListener("beforeprint", () => onPaper(true));
  window.addEventListener("afterprint", () => onPaper(false));
}

// A box in the plot, given in the plot's own values, cut at the plot's edges (also the paper's:
// what reaches beyond would make the page wider); null is an edge. Returns its left side in pixels.
function place(u, box, x0, x1, y0, y1) {
  const within = (value, scale, edge, size) =>
    (value === null ? edge : Math.min(size, Math.max(0, u.valToPos(value, scale))));
  const width = u.over.clientWidth, height = u.over.clientHeight;
  const left = within(x0, "x", 0, width), right = within(x1, "x", width, width);
  const top = within(y1, "y", 0, height), bottom = within(y0, "y", height, height);
  box.hidden = right - left < 1 || bottom - top < 1;
  box.style.left = left + "px";
  box.style.width = right - left + "px";
  box.style.top = top + "px";
  box.style.height = bottom - top + "px";
  return left;
}

// What all plots share: colours from the style sheet, width from the page, redraw when either changes.
function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();
}

function axis(extra) {
  const grid = { stroke: colour("grid"), width: 1 };
  return { stroke: colour("soft"), grid, ticks: grid, font: "12px ui-sans-serif, system-ui, sans-serif", ...extra };
}

// Each plot is made by a function of the width, so that it can be made again.
const plots = [];

function addPlot(host, make) {
  plots.push({ host, make, made: null });
}

function drawPlots() {
  for (const plot of plots) {
    const kept = plot.made ? { min: plot.made.scales.x.min, max: plot.made.scales.x.max } : null;
    if (plot.made) plot.made.destroy();
    plot.made = plot.make(plot.host, Math.max(240, plot.host.clientWidth));
    if (kept && kept.min !== null) plot.made.setScale("x", kept);
  }
}

function zoomTo(min, max) {
  for (const plot of plots) plot.made.setScale("x", { min, max });
}

function keepPlotsDrawn() {
  drawPlots();
  let width = window.innerWidth;
  window.addEventListener("resize", () => {
    if (window.innerWidth === width) return;  // a phone's address bar changes the height alone
    width = window.innerWidth;
    drawPlots();
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawPlots);
  const onPaper = (yes) => {
    document.documentElement.classList.toggle("on-paper", yes);
    drawPlots();
  };
  window.addEventListener("beforeprint", () => onPaper(true));
  window.addEventListener("afterprint", () => onPaper(false));
}

// A box in the plot, given in the plot's own values; null is the plot's edge.
function place(u, box, x0, x1, y0, y1) {
  const x = (value, edge) => (value === null ? edge : u.valToPos(value, "x"));
  const y = (value, edge) => (value === null ? edge : u.valToPos(value, "y"));
  const left = x(x0, 0), right = x(x1, u.over.clientWidth);
  const top = y(y1, 0), bottom = y(y0, u.over.clientHeight);
  box.style.left = left + "px";
  box.style.width = Math.max(0, right - left) + "px";
  box.style.top = top + "px";
  box.style.height = Math.max(0, bottom - top) + "px";
}

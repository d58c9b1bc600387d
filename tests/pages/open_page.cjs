// Opens a page in headless Chromium and prints what is there as one JSON object.
// usage: node open_page.cjs NPM_FOLDER CHROMIUM PAGE.html SCREENSHOT_STEM
"use strict";
const path = require("path");
const [npmFolder, chromium, file, stem] = process.argv.slice(2);
const playwright = require(path.join(npmFolder, "node_modules", "playwright-core"));

// Runs in the page: counts, and contrasts of text colours on both papers (WCAG 2.1 formula).
function look() {
  const count = (selector) => document.querySelectorAll(selector).length;
  const hex = (name) => getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();
  const luminance = (colour) => {
    const parts = [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16) / 255)
      .map((v) => (v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2];
  };
  const contrast = (a, b) => {
    const [high, low] = [luminance(hex(a)), luminance(hex(b))].sort((x, y) => y - x);
    return (high + 0.05) / (low + 0.05);
  };
  const contrasts = [["alert", "alert-paper"]];
  for (const ink of ["ink", "soft", "first", "second", "third"]) contrasts.push([ink, "paper"], [ink, "sheet"]);
  const drawn = [...document.querySelectorAll("canvas")].map((canvas) => {
    const pixels = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
    return pixels.some((value) => value !== 0);
  });
  return {
    scroll_width: document.documentElement.scrollWidth, width: window.innerWidth,
    figures: count("figure"), canvases: drawn.length, drawn: drawn.filter(Boolean).length,
    bands: [...document.querySelectorAll("figure[data-trace]")].map((f) => f.querySelectorAll(".band").length),
    part_bands: [...document.querySelectorAll("figure[data-trace]")].map((f) => f.querySelectorAll(".band.part").length),
    band_widths: [...document.querySelectorAll("figure[data-trace]:first-of-type .band")].map((b) => b.getBoundingClientRect().width),
    rep_columns: count("#rep-table thead [data-rep]"), measure_rows: count("#rep-table tbody tr"),
    summary_rows: count("#summary-table tbody tr"), set_rows: count("#set-table tbody tr"),
    verdicts: [...document.querySelectorAll("#summary-table .verdict")].map((v) => v.textContent),
    reaches: [...document.querySelectorAll(".reach")].map((b) => b.getBoundingClientRect().height),
    scripts: count("script"), images: count("img"), broken: window.broken || 0,
    unnamed_buttons: [...document.querySelectorAll("button")].filter((b) => !b.textContent && !b.ariaLabel).length,
    least_contrast: Math.min(...contrasts.map(([a, b]) => contrast(a, b))),
    text: document.getElementById("page").innerText,
  };
}

// Zooms to the first rep with the keyboard alone and says what the first two plots then show.
async function zoomByKeyboard(page) {
  if ((await page.locator(".zoom button").count()) < 2) return null;
  await page.locator(".zoom button").first().focus();
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  const zoomed = await page.evaluate(() => plots.map((p) => [p.made.scales.x.min, p.made.scales.x.max]));
  const pressed = await page.evaluate(() => [...document.querySelectorAll(".zoom button")].map((b) => b.getAttribute("aria-pressed")));
  return { zoomed, pressed };
}

// Until a toggled box has told its plots and they are drawn.
function settle(page) {
  return page.evaluate(() => new Promise((done) => setTimeout(() => requestAnimationFrame(() => requestAnimationFrame(done)), 50)));
}

async function visit(browser, name, options, saw) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  page.on("console", (message) => saw.console.push(message.type() + ": " + message.text()));
  page.on("pageerror", (error) => saw.console.push("error: " + error.message));
  page.on("request", (request) => saw.requests.push(request.url()));
  await page.goto("file://" + path.resolve(file));
  await page.waitForFunction(() => document.querySelector("main header") !== null);
  await settle(page);
  await page.screenshot({ path: `${stem}-${name}.png`, fullPage: true });
  const closed = await page.evaluate(() => document.querySelectorAll("details:not([open]) figure").length);
  await page.evaluate(() => document.querySelectorAll("details").forEach((box) => { box.open = true; }));
  await settle(page);
  const seen = { ...(await page.evaluate(look)), closed_figures: closed };
  if (name === "desktop") {
    seen.keyboard = await zoomByKeyboard(page);
    await page.pdf({ path: `${stem}.pdf`, format: "A4" });
  }
  await context.close();
  return seen;
}

async function main() {
  const browser = await playwright.chromium.launch({
    executablePath: chromium, args: ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"],
  });
  const saw = { console: [], requests: [] };
  const pages = {
    desktop: await visit(browser, "desktop", { viewport: { width: 1280, height: 900 } }, saw),
    phone: await visit(browser, "phone", { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, isMobile: true }, saw),
    dark: await visit(browser, "dark", { viewport: { width: 1280, height: 900 }, colorScheme: "dark" }, saw),
  };
  await browser.close();
  console.log(JSON.stringify({ ...saw, ...pages }));
}

main().catch((error) => {
  console.error(error);
  process.exit(1);
});

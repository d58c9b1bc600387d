// Elements of a page. Text goes in as text nodes only: nothing of the data is ever markup.
const data = JSON.parse(document.getElementById("data").textContent);

function el(tag, attributes, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value !== null && value !== undefined && value !== false) element.setAttribute(name, value === true ? "" : value);
  }
  for (const child of children.flat()) {
    if (child !== null && child !== undefined && child !== "") element.append(child);
  }
  return element;
}

function head() {
  const facts = data.facts.map((fact) => {
    const unlogged = fact.value === "not logged";
    return el("div", {}, el("dt", {}, fact.label), el("dd", { class: unlogged ? "unlogged" : null }, fact.value));
  });
  return el("header", { class: "head" }, el("h1", {}, data.heading), el("dl", { class: "facts" }, facts));
}

function painAlert() {
  return data.pain ? el("section", { class: "alert", role: "note" }, el("p", {}, data.pain)) : null;
}

function list(items) {
  return el("ul", {}, items.map((item) => el("li", {}, item)));
}

function cautions() {
  return el("section", { id: "cautions" }, el("h2", {}, "Cautions"), list(data.cautions));
}

// A scrolling box can be reached and scrolled by keyboard.
function scrollBox(label, table) {
  return el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": label }, table);
}

function show(...parts) {
  document.getElementById("page").replaceChildren(...parts.filter(Boolean));
}

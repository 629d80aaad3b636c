// Elements: one small helper that makes them, so that no text is ever read as markup.

let serial = 0;

/** An id that no other element of the page has. */
export function newId(stem) {
  serial += 1;
  return `${stem}-${serial}`;
}

/** Make an element; children are elements, text, or lists of them; null and false are left out. */
export function h(name, attributes = {}, ...children) {
  const made =
    name === "svg" || SVG_NAMES.has(name)
      ? document.createElementNS("http://www.w3.org/2000/svg", name)
      : document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) give(made, key, value);
  made.append(...flat(children));
  return made;
}

const SVG_NAMES = new Set([
  "g",
  "path",
  "line",
  "circle",
  "rect",
  "polygon",
  "polyline",
  "text",
  "tspan",
  "ellipse",
  "image",
  "defs",
  "clipPath",
]);

function give(made, key, value) {
  if (value === null || value === undefined || value === false) return;
  if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
  else if (value === true) made.setAttribute(key, "");
  else made.setAttribute(key, String(value));
}

function flat(children) {
  return children
    .flat(Infinity)
    .filter((one) => one !== null && one !== undefined && one !== false)
    .map((one) => (typeof one === "string" ? unbroken(one) : one));
}

// No line ends within 6 11/32", nor before a percent sign or the arrow of a button.
function unbroken(words) {
  return words.replace(/(\d) (?=\d+\/\d+")/g, "$1\u00a0").replace(/(\d) (?=%)/g, "$1\u00a0").replace(/^← | →$/g, (one) => one.replace(" ", "\u00a0"));
}

/** A place whose content may be wider than the window: the keyboard can reach it and move it sideways. */
export function sideways(label, ...children) {
  return h("div", { class: "sideways", tabindex: 0, role: "group", "aria-label": label }, children);
}

/** Put other children in place of those that an element has. */
export function fill(element, ...children) {
  element.replaceChildren(...flat(children));
  return element;
}

// Drawing a step anew while somebody works on it: focus, caret and place on the page stay where they were.

let waiting = null;
let step = () => {};

/** Say how the step that is shown is drawn. */
export function onRedrawStep(draw) {
  step = draw;
}

/** Draw the step that is shown anew. */
export function redrawStep() {
  step();
}

/** Draw anew; while a pointer is down or a word is being composed, that waits until it is done. */
export function redrawKeepingPlace(root, draw) {
  const isWaiting = waiting !== null;
  waiting = () => keepingPlace(root, draw);
  if (!busy) run();
  else if (!isWaiting) busy.then(run);
}

/** Do what moves other things on the page; while a pointer is down that waits, so that its click hits what was aimed at. */
export function whenStill(act) {
  if (busy) busy.then(act);
  else act();
}

let busy = null;
let done = () => {};
function run() {
  const now = waiting;
  waiting = null;
  now?.();
}
function begin() {
  busy ??= new Promise((resolve) => {
    done = () => {
      busy = null;
      // After the event's own listeners: a press that is let go of is a click first.
      setTimeout(resolve);
    };
  });
}
document.addEventListener("pointerdown", begin);
document.addEventListener("compositionstart", begin);
for (const name of ["pointerup", "pointercancel", "compositionend"]) document.addEventListener(name, () => done());

function keepingPlace(root, draw) {
  const was = document.activeElement;
  const place = root.contains(was) ? placeOf(root, was) : null;
  const opened = [...root.querySelectorAll("details")].map((one) => one.open);
  const { scrollX, scrollY } = window;
  draw();
  const details = [...root.querySelectorAll("details")];
  if (details.length === opened.length) details.forEach((one, number) => Object.assign(one, { open: opened[number] }));
  window.scrollTo(scrollX, scrollY);
  if (place) settle(root, place, was);
}

const FOCUSED = "input, select, textarea, button, summary, a[href], [tabindex]";

function placeOf(root, element) {
  const alike = [...root.querySelectorAll(FOCUSED)].filter((one) => nameOf(one) === nameOf(element));
  return { name: nameOf(element), number: alike.indexOf(element), value: element.value, caret: caretOf(element) };
}

function settle(root, { name, number, value, caret }, was) {
  // Some steps fill themselves a moment later.
  let left = 20;
  const find = () => {
    if (document.activeElement !== document.body && document.activeElement !== was) return;
    const again = [...root.querySelectorAll(FOCUSED)].filter((one) => nameOf(one) === name)[number];
    if (!again && (left -= 1)) return void setTimeout(find, 50);
    again?.focus({ preventScroll: true });
    if (again && caret && again.value === value) again.setSelectionRange(...caret);
  };
  find();
}

function nameOf(element) {
  const field = element.closest("[data-key]")?.dataset.key ?? "";
  const label = element.labels?.[0]?.textContent ?? element.getAttribute("aria-label") ?? element.textContent;
  return `${element.tagName} ${element.type ?? ""} ${field} ${label}`;
}

function caretOf({ selectionStart, selectionEnd }) {
  return typeof selectionStart === "number" ? [selectionStart, selectionEnd] : null;
}

// The picture on the page: drawn on a canvas, zoomed and moved by wheel, pinch and keys, with a handle on each point.

import { h, fill } from "../../parts/element.js";
import { handleOf } from "./handle.js";
import { loupe } from "./loupe.js";
import { chosenPoint, onPhoto, photo } from "./photo.js";
import { isZoomed, moved, showing, toPicture, toScreen, whole, zoomed } from "./view-frame.js";

const TAP_PX = 8;
const STEP = 1.5;

/** The stage. `tapped([u, v])` is told which pixel was tapped, `say` what to announce. */
export function stage({ tapped, say }) {
  const canvas = h("canvas", { class: "photo-picture", role: "img", "aria-label": "The picture of the marked blank" });
  const handles = h("div", { class: "photo-handles" });
  const glass = loupe();
  const box = h("div", { class: "photo-stage", role: "group", "aria-label": "Picture with its points" }, canvas, handles, glass.element);
  const pen = canvas.getContext("2d");
  const made = new Map();
  let frame = null;
  let size = [0, 0];

  const set = (to) => {
    frame = to;
    box.classList.toggle("zoomed", isZoomed(frame));
    draw();
  };
  const view = {
    stage: box,
    frame: () => frame,
    say,
    tapped: (event) => tap(placeIn(box, event)),
    show: (point) => glass.show(photo.picture, point, frame.scale, toScreen(frame, [point.u, point.v])[0], size[0]),
    hide: glass.hide,
    bringIn: (point) => set(showing(frame, [point.u, point.v], photo.picture, ...size)),
  };

  function tap(at) {
    tapped(toPicture(frame, at).map((one) => Math.round(one * 10) / 10));
  }

  function fit() {
    size = [box.clientWidth, box.clientHeight];
    if (!photo.picture || !size[0]) return;
    const dense = window.devicePixelRatio || 1;
    [canvas.width, canvas.height] = size.map((one) => Math.round(one * dense));
    set(whole(photo.picture, ...size));
  }

  function draw() {
    const { picture } = photo;
    const dense = canvas.width / size[0];
    const own = picture.width / picture.bitmap.width;
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.clearRect(0, 0, canvas.width, canvas.height);
    const per = dense * frame.scale;
    pen.setTransform(per * own, 0, 0, per * own, -frame.x * per, -frame.y * per);
    pen.drawImage(picture.bitmap, 0, 0);
    place();
  }

  function place() {
    for (const { point, element } of made.values()) {
      const [left, top] = toScreen(frame, [point.u, point.v]);
      element.style.setProperty("left", `${left}px`);
      element.style.setProperty("top", `${top}px`);
      element.classList.toggle("outside", left < -1 || top < -1 || left > size[0] + 1 || top > size[1] + 1);
    }
  }

  function renew() {
    const shape = photo.picture.height > photo.picture.width ? "tall" : "wide";
    box.dataset.shape = shape;
    for (const [id, { element }] of made)
      if (!photo.points.some((one) => one.id === id)) {
        element.remove();
        made.delete(id);
      }
    for (const point of photo.points) {
      if (!made.has(point.id)) made.set(point.id, handleOf(point, view));
      made.get(point.id).renew();
    }
    // In their order, so that Tab walks through them as the list has them; one that has the focus is left alone.
    const order = photo.points.map(({ id }) => made.get(id).element);
    order.forEach((one, at) => {
      if (handles.children[at] !== one && document.activeElement !== one) handles.insertBefore(one, handles.children[at] ?? null);
    });
  }

  const zoom = (factor, at = null) => {
    const point = chosenPoint();
    const about = at ?? (point ? toScreen(frame, [point.u, point.v]) : [size[0] / 2, size[1] / 2]);
    set(zoomed(frame, factor, about, photo.picture, ...size));
    if (point && !at) view.bringIn(point);
  };
  listen(box, {
    place: (event) => placeIn(box, event),
    zoom,
    pan: (by) => set(moved(frame, by, photo.picture, ...size)),
    tap,
  });

  let known = null;
  onPhoto(box, (what) => {
    if (!photo.picture) return;
    if (known !== photo.picture) {
      known = photo.picture;
      for (const { element } of made.values()) element.remove();
      made.clear();
      requestAnimationFrame(fit);
    }
    renew();
    if (what === "changed" && !chosenPoint()) glass.hide();
    if (frame && size[0]) place();
  });
  new ResizeObserver(() => {
    if (photo.picture && (box.clientWidth !== size[0] || box.clientHeight !== size[1])) fit();
  }).observe(box);
  if (photo.picture) {
    known = photo.picture;
    renew();
    requestAnimationFrame(fit);
  }
  return {
    element: fill(h("div", {}), box, buttons(zoom, fit)),
    focus: (point) => made.get(point.id)?.element.focus(),
    middle: () => toPicture(frame, [size[0] / 2, size[1] / 2]),
  };
}

function buttons(zoom, fit) {
  const press = (words, label, onclick) => h("button", { type: "button", "aria-label": label, onclick }, words);
  return h(
    "div",
    { class: "row photo-zoom" },
    press("+", "Enlarge the picture", () => zoom(STEP)),
    press("−", "Shrink the picture", () => zoom(1 / STEP)),
    press("Whole", "Show the whole picture", fit),
  );
}

/** Where a pointer is in an element. */
export function placeIn(element, { clientX, clientY }) {
  const { left, top } = element.getBoundingClientRect();
  return [clientX - left - element.clientLeft, clientY - top - element.clientTop];
}

/** Listen to pointers and wheel on what is no handle: a tap, a finger that moves the picture, two that enlarge it. */
function listen(box, { place, zoom, pan, tap }) {
  const down = new Map();
  let still = null;
  const spread = () => {
    const [one, two] = [...down.values()];
    return { middle: [(one[0] + two[0]) / 2, (one[1] + two[1]) / 2], apart: Math.hypot(one[0] - two[0], one[1] - two[1]) };
  };
  box.addEventListener("pointerdown", (event) => {
    if (event.target.closest(".photo-handle") || event.button > 0) return;
    down.set(event.pointerId, place(event));
    box.setPointerCapture(event.pointerId);
    still = down.size === 1 ? place(event) : null;
  });
  box.addEventListener("pointermove", (event) => {
    if (!down.has(event.pointerId)) return;
    const [was, now] = [down.get(event.pointerId), place(event)];
    if (down.size === 2) {
      const before = spread();
      down.set(event.pointerId, now);
      const after = spread();
      pan([after.middle[0] - before.middle[0], after.middle[1] - before.middle[1]]);
      if (before.apart > 0) zoom(after.apart / before.apart, after.middle);
      return;
    }
    if (still && Math.hypot(now[0] - still[0], now[1] - still[1]) <= TAP_PX) return;
    still = null;
    down.set(event.pointerId, now);
    pan([now[0] - was[0], now[1] - was[1]]);
  });
  const up = (event) => {
    if (!down.delete(event.pointerId)) return;
    if (event.type === "pointerup" && still && !down.size) tap(still);
    still = null;
  };
  box.addEventListener("pointerup", up);
  box.addEventListener("pointercancel", up);
  box.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      zoom(Math.exp(-event.deltaY / (event.ctrlKey ? 100 : 400)), place(event));
    },
    { passive: false },
  );
}

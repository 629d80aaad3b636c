// The photograph at hand: the picture, and what was pointed at in it. It lives in this tab alone, until it is loaded anew.

import { itemId, job } from "../../job/job.js";

// Where the front edge is in the picture, and which way the blank's x and y run there.
export const FRONTS = {
  bottom: { words: "at the bottom", across: [-1, 0], ahead: [0, 1] },
  top: { words: "at the top", across: [1, 0], ahead: [0, -1] },
  left: { words: "on the left", across: [0, -1], ahead: [-1, 0] },
  right: { words: "on the right", across: [0, 1], ahead: [1, 0] },
};
const FIRST = 4;
// How much of the picture the blank takes before anything was dragged.
const SHARE = 0.62;

export const photo = { for: "", picture: null, front: "bottom", points: [], chosen: null, suggested: [], outline: [] };
const listeners = new Set();

/** Listen as long as an element stands on the page: `listener(what)`, what is "moved", "chosen" or "changed". */
export function onPhoto(element, listener) {
  const one = (what) => {
    if (element.isConnected) one.seen = true;
    else if (one.seen) return listeners.delete(one);
    listener(what);
  };
  listeners.add(one);
}

export function tell(what) {
  for (const one of [...listeners]) one(what);
}

/** Begin with another picture: its first four points stand about where they may be. */
export function begin(picture) {
  photo.picture?.bitmap.close();
  Object.assign(photo, { for: job.id, picture, points: [], chosen: null });
  placeFirst();
  tell("changed");
}

/** Put the picture away. */
export function putAway() {
  photo.picture?.bitmap.close();
  Object.assign(photo, { picture: null, points: [], chosen: null });
  tell("changed");
}

/** Take over what the blank suggests; points of another blank are put anew. */
export function suggest({ points, outline_mm: outline }) {
  Object.assign(photo, { suggested: points, outline });
  const places = new Map(points.map((one) => [one.name, one]));
  photo.points = photo.points.filter((one) => !one.suggested || places.has(one.name));
  for (const one of photo.points) if (one.suggested) Object.assign(one, places.get(one.name));
  if (photo.picture) placeFirst();
  tell("changed");
}

/** Say where the front edge is; points that nobody has put yet follow. */
export function turn(front) {
  photo.front = front;
  placeFirst();
  tell("changed");
}

function placeFirst() {
  for (const [number, one] of photo.suggested.slice(0, FIRST).entries()) {
    let point = photo.points.find(({ suggested, name }) => suggested && name === one.name);
    if (!point) {
      point = { id: itemId(), kind: "known", suggested: true, first: true, placed: false, ...one };
      photo.points.splice(number, 0, point);
    }
    if (!point.placed) [point.u, point.v] = guess(one);
  }
}

/** About where a place of the blank is in the picture: as if it were seen from straight above. */
export function guess({ x_mm: x, y_mm: y }) {
  const { picture, outline } = photo;
  const { across, ahead } = FRONTS[photo.front];
  const [xs, ys] = [0, 1].map((k) => outline.map((one) => one[k]));
  const [width, depth] = [Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)];
  const upright = across[0] !== 0;
  const per = SHARE * Math.min(picture.width / (upright ? width : depth), picture.height / (upright ? depth : width));
  const [right, front] = [x - (Math.max(...xs) + Math.min(...xs)) / 2, y - (Math.max(...ys) + Math.min(...ys)) / 2];
  return [0, 1].map((k) => [picture.width, picture.height][k] / 2 + per * (right * across[k] + front * ahead[k]));
}

/** Add a point where it was tapped, and choose it. */
export function add(point, [u, v]) {
  const made = { id: itemId(), placed: true, ...point, u, v };
  photo.points.push(made);
  keepInside(made);
  photo.chosen = made.id;
  tell("changed");
  return made;
}

export function move(point, u, v) {
  Object.assign(point, { u, v, placed: true });
  keepInside(point);
  tell("moved");
}

function keepInside(point) {
  point.u = Math.min(Math.max(point.u, 0), photo.picture.width);
  point.v = Math.min(Math.max(point.v, 0), photo.picture.height);
}

export function remove(point) {
  photo.points = photo.points.filter((one) => one !== point);
  if (photo.chosen === point.id) photo.chosen = null;
  tell("changed");
}

export function choose(id) {
  if (photo.chosen === id) return;
  photo.chosen = id;
  tell("chosen");
}

export const chosenPoint = () => photo.points.find(({ id }) => id === photo.chosen) ?? null;

/** What a point is called. Marks have their side, edge points their number. */
export function nameOfPoint(point) {
  if (point.kind === "edge") return `edge point ${edges().indexOf(point) + 1}`;
  const whose = point.sitter ? `${point.sitter}: ` : "";
  return point.kind === "mark" && point.side !== "middle" ? `${whose}${point.name}, ${point.side}` : `${whose}${point.name}`;
}

/** The letter or number on its handle. */
export function signOf(point) {
  return point.kind === "edge" ? "" : String(1 + photo.points.filter(({ kind }) => kind === point.kind).indexOf(point));
}

export const known = () => photo.points.filter(({ kind }) => kind === "known");
export const edges = () => photo.points.filter(({ kind }) => kind === "edge");
export const seenMarks = () => photo.points.filter(({ kind }) => kind === "mark");
export const unplaced = () => known().filter(({ placed }) => !placed);

// The seat of the job: while a wish is slid the closed form follows, on release the best shape; stale answers are dropped.

import { job, change, onChange } from "../job/job.js";
import { isReady, orderOf } from "../order/order-of-job.js";
import { askJson, Refusal } from "../service/requests.js";
import { foresee, remember } from "./foresight.js";

const listeners = new Set();

/**
 * What is known of the seat now. `state`: "none", "following", "shaping", "shaped" or "refused". It is `old` while the
 * order says something else than the seat that is shown. `slid` is the wish that is slid or was last, `change` how much
 * that changes each sitter's peak.
 */
export const seat = {
  state: "none",
  for: "",
  old: false,
  slid: null,
  change: [],
  id: null,
  report: null,
  grid: null,
  rings: null,
  sittings: [],
  studies: null,
  refusal: null,
  answer_ms: 0,
  chosen: 0,
};

// The best shape that is at hand: its order, its grid and its sittings, while others are looked at.
let best = null;
// Peaks of the fitted seat before a wish was slid, by the order that it is of.
let before = { key: "", sittings: null };
let previewing = null;
let wanted = null;
let shaping = null;

export function onSeat(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function tell(news) {
  Object.assign(seat, news);
  markOld();
  for (const listener of [...listeners]) listener(seat);
}

// Title and units are words on a sheet: the shape is the same without them.
function keyOf({ title, units, ...shape }) {
  return JSON.stringify(shape);
}

function markOld() {
  const was = seat.old;
  const follows = seat.state === "following" || Boolean(previewing ?? wanted);
  seat.old = Boolean(best) && !follows && isReady() && keyOf(orderOf()) !== keyOf(best.order);
  document.body.toggleAttribute("data-old", seat.old);
  return seat.old !== was;
}

// What slides a wish goes on to follow it: only then it is known whether what is shown is old.
onChange(() =>
  queueMicrotask(() => {
    if (markOld()) tell({});
    tellInMillimetres();
  }),
);

let isTelling = false;

// A page turns millimetres in words into inches, and not the other way: of a seat that was shaped in inches they are
// told again once millimetres are chosen. The shape stays as it is.
async function tellInMillimetres() {
  const isInInches = best?.order.units === "in" && job.units === "mm";
  if (!isInInches || isTelling || seat.old || seat.state !== "shaped") return;
  const { key, id } = best;
  const order = orderOf();
  isTelling = true;
  try {
    const report = await askJson("/seats", { body: order });
    if (best?.id !== id || seat.state !== "shaped" || key !== keyOf(orderOf())) return;
    best = { ...best, order, report, id: report.id, named: undefined };
    tell({ id: report.id, report, studies: null });
    change((one) => {
      one.seat = report.id;
    });
  } catch {
    // What is shown is right, if in inches.
  } finally {
    isTelling = false;
  }
}

function changeOf(sittings, than) {
  if (!than || than.length !== sittings.length) return [];
  return sittings.map((one, number) => ({ body: one.body, by: one.peak_kpa - than[number].peak_kpa }));
}

/** Choose whose pressure is shown. */
export function choose(number) {
  tell({ chosen: number });
}

/** The sitting that is shown, undefined where nobody sits yet. */
export function chosenSitting() {
  return seat.sittings[Math.min(seat.chosen, seat.sittings.length - 1)];
}

/** Follow a wish that is being slid. One request runs at a time; the newest wish waits for it, those between are dropped. */
export function follow(key = null) {
  if (!isReady()) return;
  shaping?.abort();
  if (seat.slid !== key) Object.assign(seat, { slid: key, change: [] });
  wanted = orderOf();
  if (seat.state === "following") foresee(wanted);
  if (!previewing) look();
}

async function look() {
  const order = wanted;
  wanted = null;
  previewing = new AbortController();
  const begun = performance.now();
  try {
    const seen = await askJson("/seats/previews", { body: order, signal: previewing.signal });
    if (previewing.signal.aborted) return;
    remember(order, seen.depth_grid);
    tell({
      state: "following",
      for: "",
      grid: seen.depth_grid,
      sittings: seen.sittings,
      studies: null,
      refusal: null,
      change: before.key === best?.key ? changeOf(seen.sittings, before.sittings) : [],
      answer_ms: performance.now() - begun,
    });
    // What was drawn ahead of a later wish is drawn again, now that more is known.
    if (wanted) foresee(wanted);
    await lookBefore(seen.sittings, previewing.signal);
  } catch (error) {
    if (error instanceof Refusal) refuse(error);
  } finally {
    previewing = null;
    if (wanted) look();
  }
}

/** Fit the seat as it was before the wish was slid, once, so that like is set against like. */
async function lookBefore(now, signal) {
  if (!best || before.key === best.key) return;
  const { key, order } = best;
  const seen = await askJson("/seats/previews", { body: order, signal });
  before = { key, sittings: seen.sittings };
  if (!signal.aborted && seat.state === "following") tell({ change: changeOf(now, seen.sittings) });
}

/** Say that there is no new seat; what is shown is the best shape that was there before. */
function refuse(refusal) {
  const was = best ? { grid: best.grid, sittings: best.sittings } : {};
  tell({ state: "refused", for: "", refusal, change: [], ...was });
}

/** Shape the best seat for the job as it stands, unless that is the one at hand. */
export async function shape() {
  const order = orderOf();
  const key = keyOf(order);
  if (!isReady()) return forget();
  if (key === seat.for && ["shaped", "shaping"].includes(seat.state)) return undefined;
  wanted = null;
  previewing?.abort();
  shaping?.abort();
  const mine = new AbortController();
  shaping = mine;
  tell({ state: "shaping", for: key, refusal: null });
  try {
    const news = await fetchSeat(order, mine.signal);
    if (mine.signal.aborted) return undefined;
    const peaks = seat.slid ? changeOf(news.sittings, best?.sittings) : [];
    best = { key, order, ...news };
    tell({ state: "shaped", ...news, studies: null, change: peaks });
    if (job.seat !== news.id)
      change((one) => {
        one.seat = news.id;
      });
  } catch (error) {
    if (mine.signal.aborted) return undefined;
    refuse(error instanceof Refusal ? error : new Refusal(String(error)));
  }
  return undefined;
}

/** Without someone in it there is no seat; one of an earlier job is not shown for this one. */
function forget() {
  previewing?.abort();
  shaping?.abort();
  best = null;
  if (seat.state !== "none")
    tell({ state: "none", for: "", id: null, report: null, grid: null, rings: null, sittings: [], studies: null, refusal: null });
}

async function fetchSeat(order, signal) {
  const report = await askJson("/seats", { body: order, signal });
  const [grid, rings, maps] = await Promise.all([
    askJson(`/seats/${report.id}/depth-grid?spacing_mm=5`, { signal }),
    askJson(`/seats/${report.id}/rings`, { signal }),
    askJson(`/seats/${report.id}/contact-maps`, { body: {}, signal }),
  ]);
  return { id: report.id, report, grid, rings, sittings: maps.sittings };
}

/** The outline of the best shape, mm; null where the order has another blank by now, seen from above. */
export function knownOutline() {
  const seenFromAbove = ({ thickness_mm, floor_mm, ...blank } = {}) => JSON.stringify(blank);
  const same = best && seenFromAbove(best.order.blank) === seenFromAbove(orderOf().blank);
  return same ? best.grid.outline_mm : null;
}

/**
 * The id of the seat whose files are taken: where only title or units were changed since it was shaped, the same shape is
 * kept under them first.
 */
export async function seatForFiles() {
  const order = orderOf();
  if (!best || seat.old || (order.title === best.order.title && order.units === best.order.units)) return seat.id;
  best.named ??= {};
  const name = `${order.units} ${order.title}`;
  best.named[name] ??= (await askJson("/seats", { body: order })).id;
  return best.named[name];
}

/** Fetch what takes longer: hot spots in words, postures, how sure the figures are. */
export async function study() {
  if (seat.state !== "shaped" || seat.studies) return;
  const { id } = seat;
  try {
    const told = await askJson(`/seats/${id}/report`);
    if (seat.id === id && seat.state === "shaped") tell({ studies: told.sittings });
  } catch (error) {
    if (seat.id === id) tell({ studies: [], study_refusal: error.message });
  }
}

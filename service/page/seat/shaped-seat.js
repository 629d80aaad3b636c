// The seat of the job: while a wish is slid the closed form follows, on release the best shape; stale answers are dropped.

import { job, change } from "../job/job.js";
import { isReady, orderOf } from "../order/order-of-job.js";
import { askJson, Refusal } from "../service/requests.js";
import { foresee, remember } from "./foresight.js";

const listeners = new Set();

/** What is known of the seat now. `state`: "none", "following", "shaping", "shaped" or "refused". */
export const seat = {
  state: "none",
  for: "",
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

let previewing = null;
let wanted = null;
let shaping = null;

export function onSeat(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function tell(news) {
  Object.assign(seat, news);
  for (const listener of [...listeners]) listener(seat);
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
export function follow() {
  if (!isReady()) return;
  shaping?.abort();
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
      answer_ms: performance.now() - begun,
    });
    // What was drawn ahead of a later wish is drawn again, now that more is known.
    if (wanted) foresee(wanted);
  } catch (error) {
    if (error instanceof Refusal) tell({ state: "refused", refusal: error });
  } finally {
    previewing = null;
    if (wanted) look();
  }
}

/** Shape the best seat for the job as it stands, unless that is the one at hand. */
export async function shape() {
  const order = orderOf();
  const key = JSON.stringify(order);
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
    tell({ state: "shaped", ...news, studies: null });
    if (job.seat !== news.id)
      change((one) => {
        one.seat = news.id;
      });
  } catch (error) {
    if (mine.signal.aborted) return undefined;
    tell({ state: "refused", for: "", refusal: error instanceof Refusal ? error : new Refusal(String(error)) });
  }
  return undefined;
}

/** Without someone in it there is no seat; one of an earlier job is not shown for this one. */
function forget() {
  previewing?.abort();
  shaping?.abort();
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

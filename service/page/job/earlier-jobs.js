// Earlier jobs: what was replaced by another job is kept in this browser, so that it can be brought back.

import { lasting } from "./browser-store.js";

const PLACE = "seatmesh earlier ";
/** So many are kept; the oldest makes room for another one. */
export const MOST = 8;

/** Keep a job that is about to be replaced, or the text of one that cannot be read; returns null, or why it cannot be. */
export function keepEarlier(what) {
  const at = Date.now();
  if (what.raw !== undefined && earlierJobs().some(({ raw }) => raw === what.raw)) return null;
  // Two of one moment, or of two tabs, have a place each.
  const place = `${PLACE}${at.toString(36).padStart(9, "0")}-${Math.random().toString(36).slice(2, 8)}`;
  const fault = lasting.write(place, JSON.stringify({ ...what, at }));
  if (!fault) for (const { key } of earlierJobs().slice(MOST)) lasting.remove(key);
  return fault;
}

/** The earlier jobs, the last one first: `key`, `at`, and either `job` or the `raw` text of one that cannot be read. */
export function earlierJobs() {
  return lasting
    .keys()
    .filter((key) => key?.startsWith(PLACE))
    .sort()
    .reverse()
    .map((key) => {
      try {
        return { ...JSON.parse(lasting.read(key)), key };
      } catch {
        return { key, at: 0, raw: lasting.read(key) };
      }
    });
}

/** Take an earlier job off the list. */
export function dropEarlier(key) {
  lasting.remove(key);
}

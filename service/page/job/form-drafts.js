// Drafts: what stands in a form and is not added yet, of each tab for itself, so that a reload loses none of it. The
// draft of a tab that is gone goes to the next one that is opened.

import { job } from "./job.js";
import { same } from "./merge-tabs.js";
import { lasting, passing } from "./browser-store.js";

const PLACE = "seatmesh draft ";
const TAB = "seatmesh tab";
const ANSWER_MS = 1500;
const fresh = new Map();
const present = new Set();
const channel = "BroadcastChannel" in window ? new BroadcastChannel("seatmesh drafts") : null;
const known = passing.read(TAB);
const tab = known ?? `${Date.now().toString(36)}${Math.random().toString(36).slice(2, 8)}`;
const drafts = known ? (kept(PLACE + tab, lasting) ?? kept(PLACE, passing) ?? {}) : {};
passing.write(TAB, tab);

function kept(key, store) {
  try {
    return JSON.parse(store.read(key)).drafts;
  } catch {
    return null;
  }
}

/** The draft of a form for the job at hand; `begin` is what stands in an untouched one. */
export function draftOf(name, begin) {
  fresh.set(name, begin);
  const own = (drafts[job.id] ??= {});
  own[name] ??= {};
  for (const [key, value] of Object.entries(begin)) own[name][key] ??= structuredClone(value);
  return own[name];
}

/** Keep the drafts after one was changed. */
export function keepDrafts() {
  const told = {};
  for (const [id, forms] of Object.entries(drafts))
    for (const [name, form] of Object.entries(forms))
      if (!same(form, fresh.get(name))) (told[id] ??= {})[name] = form;
  if (!Object.keys(told).length) {
    lasting.remove(PLACE + tab);
    passing.remove(PLACE);
    return;
  }
  const text = JSON.stringify({ drafts: told, at: Date.now() });
  lasting.write(PLACE + tab, text);
  passing.write(PLACE, text);
}

/** Take over the drafts of tabs that are gone, where this one has none; `taken` is told when there were any. */
export function takeLeftDrafts(taken) {
  channel?.addEventListener("message", ({ data }) => {
    if (data.here) present.add(data.here);
    else channel.postMessage({ here: tab });
  });
  if (known || !channel) return;
  channel.postMessage({ ask: tab });
  setTimeout(() => {
    const gone = lasting.keys().filter((key) => key?.startsWith(PLACE) && !present.has(key.slice(PLACE.length)));
    for (const key of gone.filter((one) => one !== PLACE + tab)) takeOver(kept(key, lasting) ?? {}, key);
    if (gone.length) taken();
  }, ANSWER_MS);
}

function takeOver(left, key) {
  let whole = true;
  for (const [id, forms] of Object.entries(left))
    for (const [name, form] of Object.entries(forms)) {
      const own = drafts[id]?.[name];
      if (own && !same(own, fresh.get(name))) whole = false;
      else if (own) Object.assign(own, form);
      else (drafts[id] ??= {})[name] = form;
    }
  // One that has no place here yet waits for the next tab.
  if (whole) lasting.remove(key);
  keepDrafts();
}

// Tabs: the job is kept in this browser for all of them, and what is typed in one is taken over by the others.
//
// Every tab numbers its edits. A kept job says how many of each tab's are in it (`seen`), so that a tab can tell what
// the one that wrote it had not seen yet, and from which earlier state both went on.

import { keepEarlier } from "./earlier-jobs.js";
import { adopt, merge, same } from "./merge-tabs.js";
import { notice, unsay } from "../service/notices.js";
import { lasting } from "./browser-store.js";

const PLACE = "seatmesh job";
const STATES = 40;
const DAY_MS = 24 * 3600 * 1000;
const ABOUT_TABS = ["seen", "by", "at"];
const WHY = {
  full: "This browser’s store is full: what you type from here on is lost when the tab closes. Save the order file.",
  forbidden:
    "This browser keeps nothing for this page: what you type is lost when the tab closes. Save the order file before that.",
};

let me = newTab();
let last = null;
let states = [];
let listener = () => {};

function newTab() {
  return `${Date.now().toString(36)}-${Math.random().toString(36).slice(2, 8)}`;
}

/** The text of the job as it is kept in this browser, null where none is. */
export function keptText() {
  return lasting.read(PLACE);
}

/** Begin to keep a job; `read` makes a job of a kept text, or raises; `taken` is told when another tab's is taken over. */
export function keepTogether(job, text, read, taken) {
  last = text;
  remember(job);
  listener = () => {
    if (takeIn(job, lasting.read(PLACE), read)) taken();
  };
  window.addEventListener("storage", ({ key, newValue }) => {
    // Somebody emptied the store: whatever is kept next has nothing to do with what is here.
    if (key === null || (key === PLACE && newValue === null)) forget(job);
    else if (key === PLACE && takeIn(job, newValue, read)) taken();
  });
  window.addEventListener("pageshow", () => listener());
  document.addEventListener("visibilitychange", () => listener());
  if (lasting.write("seatmesh probe", "1") === "forbidden") tellFault("forbidden");
  lasting.remove("seatmesh probe");
}

/** Keep the job after an edit, with what other tabs wrote meanwhile; returns whether there was any. */
export function keep(job, read) {
  if (Date.now() - madeAt(me) > DAY_MS) me = newTab();
  job.seen[me] = (job.seen[me] ?? 0) + 1;
  Object.assign(job, { by: me, at: Date.now() });
  const taken = takeIn(job, lasting.read(PLACE), read);
  write(job);
  return taken;
}

function write(job) {
  for (const tab of Object.keys(job.seen)) if (isPast(tab)) delete job.seen[tab];
  const text = JSON.stringify(job);
  const fault = lasting.write(PLACE, text);
  if (fault) tellFault(fault);
  else {
    last = text;
    unsay("store");
  }
  remember(job);
}

function tellFault(fault) {
  notice("store", WHY[fault], { words: "Take away", href: "#take" });
}

/** Take over what another tab wrote; returns whether the job is another one by that. */
function takeIn(job, text, read) {
  if (text === null || text === last) return false;
  let theirs;
  try {
    theirs = read(text);
  } catch {
    setAside(text);
    return false;
  }
  last = text;
  const before = structuredClone(content(job));
  if (theirs.id !== job.id) takeOtherJob(job, theirs);
  else if (covers(theirs.seen, job.seen)) adopt(job, theirs);
  else takeTogether(job, theirs);
  remember(job);
  return !same(before, content(job));
}

/** Put a kept text that cannot be read among the earlier jobs, before it is written over. */
export function setAside(text) {
  last = text;
  keepEarlier({ raw: text });
  notice("unread", "The job that was kept here cannot be read. Its text is among the earlier jobs.", {
    words: "Earlier jobs",
    href: "#take",
  });
}

function takeTogether(job, theirs) {
  const base = states.findLast((one) => covers(theirs.seen, one.seen)) ?? {};
  const first = isLater(job, theirs) ? "ours" : "theirs";
  const merged = merge(content(base), content(job), content(theirs), first, tellClash);
  const seen = { ...job.seen };
  for (const [tab, count] of Object.entries(theirs.seen)) seen[tab] = Math.max(count, seen[tab] ?? 0);
  const { by, at } = first === "ours" ? job : theirs;
  const isNews = !same(merged, content(theirs));
  adopt(job, { ...merged, seen, by, at });
  if (isNews) write(job);
}

// Another job was opened in one of two tabs. The one opened last is the job of both; nothing typed into the other is lost.
function takeOtherJob(job, theirs) {
  const ours = structuredClone(job);
  if (theirs.opened >= job.opened) {
    if (!covers(theirs.seen, ours.seen)) keepEarlier({ job: ours });
    adopt(job, theirs);
    notice("other job", `Another tab opened ${theirs.title ? `“${theirs.title}”` : "another job"}; it is shown here too.`);
  } else {
    if (!covers(ours.seen, theirs.seen)) keepEarlier({ job: theirs });
    write(job);
  }
}

// What follows from other values is not told.
function tellClash(path, ours, theirs) {
  if (["seat", "typed", "version"].includes(path[0])) return;
  const words = path.filter((part) => !/^\w+-\w+/.test(part)).join(" ");
  notice(
    `clash ${path.join()}`,
    `Two tabs changed “${words.replaceAll("_", " ")}” at the same time: here ${said(ours)}, there ${said(theirs)}. The later one stands; check it.`,
  );
}

function said(value) {
  return typeof value === "object" ? (value.text ?? JSON.stringify(value)) : String(value);
}

function forget(job) {
  last = null;
  states = [];
  job.seen = {};
  job.opened = 0;
  job.by = "";
  remember(job);
}

function remember(job) {
  states.push(structuredClone(job));
  if (states.length > STATES) states.shift();
}

/** A job without what is written about tabs. */
function content(job) {
  return Object.fromEntries(Object.entries(job).filter(([key]) => !ABOUT_TABS.includes(key)));
}

/** Whether all edits that one job has are in another too. */
function covers(seen, others = {}) {
  return Object.entries(others).every(([tab, count]) => isPast(tab) || (seen?.[tab] ?? 0) >= count);
}

function isLater(one, other) {
  return one.at !== other.at ? one.at > other.at : one.by > other.by;
}

// A tab that is open for days takes a new name before its old one counts no more.
function isPast(tab) {
  return Date.now() - madeAt(tab) > 3 * DAY_MS;
}

function madeAt(tab) {
  return parseInt(tab, 36) || 0;
}

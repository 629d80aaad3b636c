// The service: every request goes through here, with the token where one is asked for, and refusals in its own words.

import { passing } from "../job/browser-store.js";

const TOKEN = "seatmesh token";
// Where the browser keeps nothing the token is known until the tab is loaded anew.
let tokenHere = null;
let askForToken = async () => null;

/** A refusal, as the service puts it. */
export class Refusal extends Error {
  constructor(detail, status = 0, refused = null) {
    super(detail);
    this.status = status;
    /** What is at fault, what is allowed, and ways out, in parts; null where only the words say it. */
    this.refused = refused;
  }
}

/** Say how a token is asked for. */
export function onToken(asker) {
  askForToken = asker;
}

export function hasToken() {
  return Boolean(passing.read(TOKEN) ?? tokenHere);
}

// Where the service is: above the page's files. A proxy may serve both below a prefix.
const SERVICE = import.meta.url.slice(0, import.meta.url.lastIndexOf("/page/"));

// Longer than this, s, the service tells of a job, which is followed to its end.
const PATIENCE_S = 8;

/**
 * Fetch a path; `body` is sent as JSON, or as it is where it is text. Raises Refusal, or AbortError when given up.
 * `told` hears of a job as it is followed; who wants to show that soon has less `patience`.
 */
export async function ask(path, { body, signal, told, patience = PATIENCE_S, type = "application/json" } = {}) {
  const answer = await send(path, { body, signal, type, patience });
  if (answer.status === 401) {
    const token = await askForToken(hasToken());
    if (!token) throw await refusalOf(answer);
    tokenHere = token;
    passing.write(TOKEN, token);
    return ask(path, { body, signal, told, patience, type });
  }
  if (!answer.ok) throw await refusalOf(answer);
  return answer.status === 202 ? followed(await answer.json(), signal, told) : answer;
}

/** Follow a job to its end and fetch what came of it. One that is given up is ended. */
async function followed(job, signal, told) {
  try {
    while (job.state === "queued" || job.state === "working") {
      told?.(job);
      await pause(1000 * Math.min(job.retry_after_s ?? 1, 2), signal);
      job = await askJson(`/jobs/${job.id}`, { signal });
    }
  } catch (error) {
    if (error.name === "AbortError") send(`/jobs/${job.id}`, { method: "DELETE" }).catch(() => {});
    throw error;
  }
  if (job.state === "done") return ask(new URL(job.result, import.meta.url), { signal });
  throw new Refusal(job.problem?.detail ?? "The work was stopped; ask again.", job.problem?.status ?? 0, job.problem?.refused ?? null);
}

function pause(ms, signal) {
  return new Promise((resolve, reject) => {
    const end = () => reject(new DOMException("given up", "AbortError"));
    if (signal?.aborted) return end();
    const timer = setTimeout(() => {
      signal?.removeEventListener("abort", given);
      resolve();
    }, ms);
    const given = () => {
      clearTimeout(timer);
      end();
    };
    signal?.addEventListener("abort", given, { once: true });
  });
}

/** Fetch a path and read its JSON. */
export async function askJson(path, options) {
  return (await ask(path, options)).json();
}

async function send(path, { body, signal, type, patience = PATIENCE_S, method = body === undefined ? "GET" : "POST" }) {
  const headers = { Prefer: `respond-async, wait=${patience}` };
  const token = passing.read(TOKEN) ?? tokenHere;
  if (token) headers.Authorization = `Bearer ${token}`;
  if (body !== undefined) headers["Content-Type"] = type;
  const sent = body === undefined || typeof body === "string" ? body : JSON.stringify(body);
  try {
    const address = path instanceof URL ? path : `${SERVICE}${path}`;
    return await fetch(address, { method, headers, body: sent, signal });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Refusal(
      "The service does not answer. What you typed is kept; start the service again and try once more.",
    );
  }
}

async function refusalOf(answer) {
  let told = {};
  try {
    told = await answer.json();
  } catch {
    /* no problem details: say what can be said */
  }
  const detail = typeof told.detail === "string" ? told.detail : `The service answered ${answer.status}.`;
  const later = answer.status === 503 ? " It is busy; try again in a moment." : "";
  return new Refusal(detail + later, answer.status, told.refused ?? null);
}

/** Save what a path gives as a file, under the name that the service gives it. */
export async function download(path, fallback, asked = {}) {
  const answer = await ask(path, asked);
  saveAs(await answer.blob(), fileNameOf(answer.headers.get("content-disposition") ?? "") ?? fallback);
}

/** The name that a header gives a file: in any script (RFC 8187), or in ASCII; null where there is none. */
function fileNameOf(header) {
  const any = /filename\*=UTF-8''([^;]+)/.exec(header);
  return any ? decodeURIComponent(any[1]) : (/filename="?([^";]+)"?/.exec(header)?.[1] ?? null);
}

/** Save data as a file. */
export function saveAs(blob, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

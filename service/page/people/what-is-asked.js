// What is asked about people not yet met: which people, how many, and what the seat has to do for each of them.

import { h } from "../parts/element.js";
import { draftOf, keepDrafts } from "../job/form-drafts.js";
import { job } from "../job/job.js";
import { KINDS, quantity } from "../parts/quantity-field.js";
import { oneOf, tick } from "../take-away/what-is-asked.js";
import { sentence, vocabulary } from "../order/vocabulary.js";

const { publics: PUBLICS, criteria: CRITERIA, front_height_mm: USUAL_HEIGHT_MM } = vocabulary.people;
const USUAL_COUNT = 1000;
// What the service takes; it says so itself where a maker has set it lower.
const COUNTS = [1, 20000];
const HEIGHTS_MM = [200, 900];
const QUESTION = { public: PUBLICS[0].name, count: null, front_height_mm: null, asked: {}, left_out: [], typed: {} };
// How a bound is typed: shares as percent, areas as plain numbers.
const KIND = { mm: "length", share: "percent" };
const SIGN = { kPa: "kPa", cm2: "cm²", times: "times" };

/** The question as it was told for this job. */
function told() {
  return draftOf("people", QUESTION);
}

/** The question as the service takes it. */
export function question() {
  const now = told();
  const bounds = { ...now.asked, ...Object.fromEntries(now.left_out.map((name) => [name, null])) };
  return {
    public: now.public,
    count: now.count ?? USUAL_COUNT,
    asked: bounds,
    ...(now.front_height_mm === null ? {} : { front_height_mm: now.front_height_mm }),
  };
}

/** The fields; `changed` is told when one of them says something else. */
export function whatIsAsked(changed) {
  const now = told();
  const put = (key, usual) => (value) => {
    now[key] = value ?? usual;
    keepDrafts();
    changed();
  };
  const people = PUBLICS.map(({ name, words }) => [name, sentence(words).slice(0, -1)]);
  return [
    oneOf("Which people", people, now.public, put("public", QUESTION.public)),
    h(
      "div",
      { class: "row people-first" },
      field("count", "How many", { kind: "count", range: COUNTS, placeholder: String(USUAL_COUNT), hint: "1,000 say a share to within three points." }, put("count", null)),
      job.chair?.front_height_mm === undefined
        ? field("front_height_mm", "Front edge above the ground", { range: HEIGHTS_MM, lengthUsual: USUAL_HEIGHT_MM, hint: "Your order states none." }, put("front_height_mm", null))
        : null,
    ),
    h("details", { class: "bounds" }, h("summary", {}, "What is asked of the seat"), CRITERIA.map((one) => bound(one, changed))),
  ];
}

function field(key, label, { lengthUsual, placeholder, ...how }, put) {
  const now = told();
  return quantity({
    key: `people.${key}`,
    label,
    value: now[key] ?? undefined,
    typed: () => now.typed,
    placeholder: placeholder ?? KINDS.length.write(lengthUsual),
    put,
    ...how,
  });
}

// A criterion: whether it is asked for, and its bound; empty is the usual one.
function bound({ name, words, unit, lowest, highest, usual, source }, changed) {
  const now = told();
  const isOn = () => !now.left_out.includes(name) && (usual !== null || name in now.asked);
  const scale = unit === "share" ? 100 : 1;
  const kind = KIND[unit] ?? "share";
  const usually = usual === null ? "not asked" : `${KINDS[kind].say(scale * usual)} ${SIGN[unit] ?? ""}`.trim();
  const entry = quantity({
    key: `people.${name}`,
    label: sentence(words.replace(/\{\}( %)?/, "…")).slice(0, -1),
    kind,
    sign: SIGN[unit] ?? null,
    range: [scale * lowest, scale * highest],
    placeholder: usual === null ? "not asked" : KINDS[kind].write(scale * usual),
    hint: sentence(usual === null ? source : `Usual: ${usually}; ${source}`),
    value: now.asked[name] === undefined ? undefined : typeof now.asked[name] === "number" ? scale * now.asked[name] : now.asked[name],
    typed: () => now.typed,
    put: (value) => {
      if (value === undefined) delete now.asked[name];
      else now.asked[name] = typeof value === "number" ? value / scale : value;
      now.left_out = now.left_out.filter((one) => one !== name);
      box.querySelector("input").checked = isOn();
      keepDrafts();
      changed();
    },
  });
  const box = tick("Ask for it", isOn(), (value) => {
    now.left_out = now.left_out.filter((one) => one !== name);
    if (!value) now.left_out.push(name);
    keepDrafts();
    changed();
  });
  box.querySelector("input").setAttribute("aria-label", `Ask for it: ${words.replace("{}", "…")}`);
  return h("div", { class: "bound" }, entry, box);
}

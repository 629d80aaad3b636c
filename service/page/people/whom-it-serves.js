// Whom a seat serves: the share with its error, by sex, by what is asked, and whom it fails, in words.

import { h, sideways } from "../parts/element.js";
import { job } from "../job/job.js";
import { figure } from "../parts/lengths.js";
import { KG_PER_POUND } from "../parts/masses.js";
import { KINDS } from "../parts/quantity-field.js";
import { capital, inPageWords } from "../service/page-words.js";
import { sentence } from "../order/vocabulary.js";

const PEOPLE = { female: "women", male: "men" };
const ONE = { female: "woman", male: "man" };
const TOLD_APART = 0.001;

/** A share in percent, with its standard error where there is one. */
function percent(share, error = null) {
  if (share === null) return "–";
  return `${figure(100 * share, 1)} %${error === null ? "" : ` ± ${figure(100 * error, 1)}`}`;
}

const said = (words) => inPageWords(words).replaceAll("cm2", "cm²");

/** What came of a question. */
export function whomItServes(told) {
  return [verdict(told), h("div", { class: "columns two" }, h("div", {}, shares(told)), h("div", {}, failing(told))), notes(told)];
}

function verdict(told) {
  const [low, high] = told.interval_95;
  const { higher, lower } = told.served_share_if_peaks_differ;
  return [
    h("p", { class: "served" }, h("strong", {}, percent(told.served_share)), ` of ${inPageWords(told.public.words)} are served.`),
    h("meter", { class: "served-share", min: 0, max: 1, value: told.served_share, "aria-label": "Share served" }),
    h(
      "p",
      {},
      `${told.count.toLocaleString("en")} people were drawn: ${percent(low)} to ${percent(high)} with 95 % certainty of the drawing.`,
      Math.abs(higher - lower) > TOLD_APART
        ? ` Were all peaks higher or lower by the model’s own error: ${percent(higher)} or ${percent(lower)}.`
        : "",
    ),
  ];
}

function shares(told) {
  const rows = [
    ...Object.entries(told.by_sex).map(([sex, one]) => [`Served, ${PEOPLE[sex]}`, one]),
    ...told.criteria.map((one) => [capital(said(one.words)), one]),
  ];
  const table = h(
    "table",
    {},
    h("caption", {}, "What is asked, and the share who have it (± one standard error of the drawing)"),
    h(
      "tbody",
      {},
      rows.map(([words, { share, standard_error: error }]) =>
        h("tr", {}, h("th", { scope: "row" }, words), h("td", { class: "number" }, percent(share, error))),
      ),
    ),
  );
  return sideways("Shares of people", table);
}

function failing(told) {
  if (!told.failing.length) return h("p", {}, "It fails nobody who was drawn.");
  return [h("h3", {}, "Whom it fails, and why"), h("ul", {}, told.failing.map((one) => h("li", {}, personWords(one))))];
}

function personWords(one) {
  const ofHundred = (share) => Math.round(100 * share);
  const people = PEOPLE[one.sex];
  const [inch, pound] = job.units === "in" ? [25.4, KG_PER_POUND] : [1, 1];
  const whole = (kind, value, step) => KINDS[kind].say(step * Math.round(value / step));
  const called = one.build.startsWith("of ") ? `${ONE[one.sex]} ${one.build}` : `${one.build} ${ONE[one.sex]}`;
  return [
    h("strong", {}, `A ${called}, ${whole("length", one.stature_mm, inch)} and ${whole("mass", one.mass_kg, pound)}`),
    ` (of 100 ${people} ${ofHundred(one.shorter_share)} are shorter, ${ofHundred(one.lighter_share)} lighter), standing for ${percent(one.stands_for_share)} of all: ${said(one.why)}.`,
  ];
}

function notes(told) {
  return h(
    "details",
    { open: told.notes.length > 1 },
    h("summary", {}, "How far to trust it"),
    h("ul", { class: "small" }, told.notes.map((one) => h("li", {}, sentence(inPageWords(one))))),
    h("p", { class: "small" }, told.caution),
  );
}

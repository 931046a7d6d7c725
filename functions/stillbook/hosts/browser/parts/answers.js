// An answer of a formula as a person reads it.

import { isError } from "./cells.js";
import { h } from "./dom.js";
import { sentence } from "./failed.js";
import { shown } from "./values.js";

/**
 * A number with its unit, text, a row of values, named cells, a table, or an error with its reason.
 * @param {string} what What it is, for those who hear the page: "the answer".
 */
export function answerShown(formula, answer, system, what) {
  if (isError(answer)) return errorShown(answer);
  const { form, unit, columns } = formula.result;
  if (!Array.isArray(answer)) return single(answer, unit[system]);
  if (form === "table") return table(answer, what);
  if (form === "cells" && answer.length === 1) return named(answer[0], columns, system);
  if (answer.length === 1 && answer[0].length === 1) return single(answer[0][0], unit[system]);
  return series(answer, unit[system], what);
}

/** An error: the word says so, not the colour alone. */
export function errorShown({ error, reason }) {
  return h("div", { class: "problem" },
    h("p", {}, h("strong", {}, `Error ${error}`), " ", sentence(reason || "the formula has no answer")));
}

function single(value, unit) {
  if (isError(value)) return errorShown(value);
  if (typeof value === "string") return h("p", { class: "words" }, value || "(empty)");
  return h("p", { class: "figure" }, h("data", { value: String(value) }, shown(value)), unit && h("span", { class: "unit" }, ` ${unit}`));
}

function named(cells, columns, system) {
  return h("dl", { class: "named" },
    cells.map((value, place) => {
      const { heading, kind, unit } = columns[place];
      const unitShown = kind && typeof value === "number" ? ` ${unit[system]}` : "";
      const title = unit[system] ? heading[system].replace(` (${unit[system]})`, "") : heading[system];
      return h("div", {}, h("dt", {}, title), h("dd", {}, isError(value) ? `${value.error} ${value.reason}` : [h("data", { value: String(value) }, shown(value)), unitShown]));
    }));
}

function series(rows, unit, what) {
  const one = rows.length === 1 || rows[0].length === 1;
  if (one) {
    return h("div", {},
      unit && h("p", { class: "quiet" }, `In ${unit}, in order:`),
      h("ol", { class: "series" }, rows.flat().map((value) => h("li", {}, cell(value)))));
  }
  return scrolled(h("table", {}, h("tbody", {}, rows.map((row) => h("tr", {}, row.map((value) => h("td", { class: "number" }, cell(value))))))), what);
}

function table(answer, what) {
  const [headings, ...rows] = answer;
  if (!rows.length) return h("p", { class: "words" }, "Nothing in the table fits.");
  return scrolled(
    h("table", {},
      h("thead", {}, h("tr", {}, headings.map((heading, place) => h("th", { scope: "col", class: kindOf(rows, place) }, heading)))),
      h("tbody", {}, rows.map((row) => h("tr", {}, row.map((value, place) => (place ? h("td", { class: kindOf(rows, place) }, cell(value)) : h("th", { scope: "row" }, cell(value)))))))),
    what);
}

function kindOf(rows, place) {
  return rows.every((row) => typeof row[place] === "number" || row[place] === "") ? "number" : "";
}

function scrolled(content, what) {
  return h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": `Table of ${what}` }, content);
}

function cell(value) {
  return isError(value) ? h("span", { class: "error" }, value.error) : shown(value);
}

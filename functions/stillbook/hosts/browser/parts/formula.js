// One formula: fields to try it in, its answer, its example, and where it comes from.

import { answer } from "./calls.js";
import { copyText } from "./copy.js";
import { h, newId, paused } from "./dom.js";
import { fieldFor } from "./fields.js";
import { answerShown } from "./answers.js";
import { sentence } from "./failed.js";
import { NAMESPACE } from "../facts.js";
import { insert, read } from "./sheet.js";
import { formulaText, reference, typed } from "./values.js";

const typedBefore = new Map();

/** The detail of a formula. */
export function formulaView(panel, formula) {
  const own = formula.arguments.filter((argument) => !isUnits(formula, argument));
  const fields = own.flatMap((argument) => fieldFor(panel, argument, () => {
    keep();
    later();
  }));
  const result = h("div", { class: "result", "aria-live": "polite" });
  const text = h("code", { class: "call", tabindex: "0", role: "group", "aria-label": "The formula as it stands in a cell" });
  const said = h("p", { class: "hint", role: "status" });
  const useIt = panel.excel
    ? h("button", { type: "button", onclick: () => putInCell() }, "Insert in the active cell")
    : h("button", { type: "button", onclick: () => copyIt() }, "Copy the formula");
  const example = h("div", { class: "result" }, h("p", { class: "quiet" }, "Calculating…"));
  let turn = 0;
  let alive = true;

  const element = h("article", { class: "formula" },
    h("p", { class: "back" }, h("a", { href: "#/formulas" }, "All formulas")),
    h("h2", { tabindex: "-1" }, formula.workbook_name),
    h("p", { class: "gist" }, `${formula.summary}.`),
    h("form", { class: "fields", autocomplete: "off", "aria-label": `Values for ${formula.workbook_name}`, onsubmit: (event) => { event.preventDefault(); calculate(); } },
      h("h3", {}, "Your values"),
      fields.map((field) => field.element)),
    h("section", { class: "answer", "aria-labelledby": "answer-heading" },
      h("h3", { id: "answer-heading" }, "Answer"),
      result),
    h("section", { "aria-labelledby": "cell-heading" },
      h("h3", { id: "cell-heading" }, "In a cell"),
      h("div", { class: "as-formula" }, text, useIt),
      said),
    h("section", { "aria-labelledby": "example-heading" },
      h("h3", { id: "example-heading" }, "Example"),
      h("p", {}, h("code", {}, `=${formula.example.call}`)),
      example,
      formula.example.arguments && own.length > 0 && h("button", { type: "button", class: "plain", onclick: () => fillIn() }, "Use these values")),
    notes(formula));

  const cells = () => fields.map((field) => field.value());

  const written = () => {
    const values = cells().map((value, place) => (reference(fields[place].text()) ? { cells: reference(fields[place].text()) } : value));
    if (formula.dimensional && panel.units === "SI") values.push("SI");
    return formulaText(panel.excel ? `${NAMESPACE}.` : "STILL_", formula.name, values);
  };

  const keep = () => typedBefore.set(formula.name, fields.map((field) => field.text()));

  const calculate = async () => {
    turn += 1;
    const mine = turn;
    text.textContent = written();
    const needed = fields.filter((field) => field.required && field.value() === null).map((field) => field.words);
    useIt.disabled = needed.length > 0;
    if (needed.length) {
      result.replaceChildren(h("p", { class: "quiet" }, `Still needed: ${needed.join(", ")}.`));
      return;
    }
    let values;
    try {
      values = await Promise.all(fields.map((field) => (reference(field.text()) ? cellsNamed(panel, reference(field.text())) : field.value())));
    } catch (error) {
      if (mine === turn) result.replaceChildren(answerShown(formula, { error: "#REF!", reason: error.message }, panel.units, "the answer"));
      return;
    }
    if (formula.dimensional) values.push(panel.units);
    while (values.length && values.at(-1) === null) values.pop();
    const given = await answer({ name: formula.name, arguments: values, listed: false });
    if (mine === turn && alive) result.replaceChildren(answerShown(formula, given, panel.units, "the answer"));
  };
  const later = paused(200, calculate);

  const fillIn = () => {
    panel.units = exampleUnits(formula);
    fields.forEach((field, place) => field.fill(typed(formula.example.arguments[place] ?? null)));
    keep();
    calculate();
    fields[0].focus();
  };

  const copyIt = async () => {
    said.textContent = (await copyText(text.textContent)) ? "Copied: paste it in a cell." : "Select the formula above and copy it.";
  };

  const putInCell = async () => {
    try {
      said.textContent = `Inserted in ${await insert(text.textContent)}.`;
    } catch (error) {
      said.textContent = `Excel did not take it: ${error.message}`;
    }
  };

  const before = typedBefore.get(formula.name) ?? [];
  fields.forEach((field, place) => field.fill(before[place] ?? ""));
  calculate();
  showExample(formula, example, () => alive);
  return {
    element,
    units() {
      for (const field of fields) field.units(panel.units);
      calculate();
    },
    left() {
      alive = false;
    },
  };
}

function isUnits(formula, argument) {
  return formula.dimensional && argument === formula.arguments.at(-1);
}

function exampleUnits(formula) {
  const { arguments: values } = formula.example;
  return formula.dimensional && values?.[formula.arguments.length - 1] === "SI" ? "SI" : "US";
}

async function showExample(formula, place, wanted) {
  const { arguments: values, gives } = formula.example;
  const given = values ? await answer({ name: formula.name, arguments: values, listed: false }) : gives;
  if (wanted()) place.replaceChildren(answerShown(formula, given, exampleUnits(formula), "the example"));
}

async function cellsNamed(panel, address) {
  if (!panel.excel) throw new Error("cells can be named beside a spreadsheet only: type the values here");
  return read(address);
}

/** What the docstring says beside the list of arguments, and the source. */
function notes(formula) {
  const [told] = formula.docstring.split(/\n(?:Args|Raises|Returns):\n/);
  const paragraphs = told
    .split(/\n\s*\n/)
    .map((each) => each.replace(/\s*\n\s*/g, " ").replace(/\s*\[[^\]]*\]/g, "").replace(/`+/g, "").trim())
    .filter((each) => each && !each.startsWith(">>>"));
  return h("section", { class: "notes", "aria-labelledby": "notes-heading" },
    h("h3", { id: "notes-heading" }, "What it does"),
    paragraphs.map((each) => h("p", {}, each)),
    h("h3", {}, "Where it comes from"),
    h("p", {}, sentence(formula.source)));
}

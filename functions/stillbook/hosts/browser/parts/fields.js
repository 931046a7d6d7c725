// A field for each argument of a formula, and what was typed in it as cell values.

import { ask } from "./service.js";
import { h, newId } from "./dom.js";
import { selection } from "./sheet.js";
import { parseCell, parseRows, reference } from "./values.js";

/**
 * The fields of an argument: one, or for an argument that repeats a few.
 * @returns {{element, words, required, text, value, fill, focus, units}[]}
 */
export function fieldFor(panel, argument, changed) {
  if (!argument.repeats) return [field(panel, argument, changed)];
  const one = argument.words.replace(/s$/, "");
  return [1, 2, 3, 4, 5, 6].map((number) =>
    field(panel, { ...argument, words: `${one} ${number}`, help: number === 1 ? argument.help : "" }, changed),
  );
}

function field(panel, argument, changed) {
  const id = newId("value");
  const hint = newId("hint");
  const control = controlFor(argument, { id, "aria-describedby": hint, required: argument.required });
  const unit = h("span", { class: "unit" });
  const help = h("p", { class: "hint", id: hint });
  const picker = takesMaterials(argument) && materialPicker(control, changed);
  control.addEventListener("input", changed);
  const element = h("div", { class: "field" },
    h("div", { class: "asked" },
      h("label", { for: id }, capital(argument.words), !argument.required && h("span", { class: "quiet" }, " (optional)")),
      panel.excel && control.tagName !== "SELECT" && selectedCells(control, argument, changed)),
    h("div", { class: "entry" }, control, control.tagName !== "TEXTAREA" && unit),
    help,
    picker);
  const units = (system) => {
    unit.textContent = argument.form === "number" ? argument.unit[system] : "";
    help.textContent = helpText(argument, system);
  };
  units(panel.units);
  return {
    element,
    words: argument.words,
    required: argument.required,
    text: () => control.value,
    value: () => (reference(control.value) ? control.value : many(argument) ? parseRows(control.value) : parseCell(control.value)),
    fill: (text) => (control.value = text),
    focus: () => control.focus(),
    units,
  };
}

function many(argument) {
  return argument.form === "cells" || argument.form === "any";
}

function controlFor(argument, attributes) {
  if (argument.form === "choice") {
    return h("select", attributes,
      h("option", { value: "" }, argument.required ? "Choose" : argument.default_shown.US || "Leave out"),
      argument.choices.map((choice) => h("option", {}, choice)));
  }
  if (many(argument)) {
    const rows = argument.label.US.startsWith("rows of") ? 3 : 1;
    return h("textarea", { ...attributes, rows, spellcheck: "false", autocapitalize: "off" });
  }
  return h("input", { ...attributes, type: "text", spellcheck: "false", autocapitalize: "off" });
}

function helpText(argument, system) {
  const parts = [argument.help.replace(/\.$/, "")];
  if (argument.form === "cells") parts.push(argument.label[system]);
  if (argument.default_shown[system]) parts.push(`${argument.default_shown[system]} when left out`);
  if (argument.form === "cells" && argument.label.US.startsWith("rows of")) parts.push("a line for each row, commas between its columns");
  return parts[0] ? `${parts.join("; ")}.` : "";
}

function takesMaterials(argument) {
  return argument.form === "cells" && /\bmaterial\b/.test(argument.label.US);
}

/** A list of the names in the material table, from which a line is added. */
function materialPicker(control, changed) {
  const list = newId("materials");
  const options = h("datalist", { id: list });
  const name = h("input", { id: newId("material"), type: "text", list, spellcheck: "false", autocomplete: "off" });
  const add = () => {
    if (!name.value.trim()) return;
    control.value = `${control.value.trimEnd()}\n${name.value.trim()}`.trimStart();
    name.value = "";
    name.focus();
    changed();
  };
  name.addEventListener("focus", () => fillNames(options), { once: true });
  name.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    add();
  });
  return h("div", { class: "picker" },
    h("label", { for: name.id }, "A material from the table"),
    h("div", { class: "entry" }, name, h("button", { type: "button", class: "plain", onclick: add }, "Add as a line")),
    options);
}

let names;

async function fillNames(options) {
  names ??= ask("/calls", JSON.stringify({ calls: [{ name: "MATERIALS", arguments: [] }] })).then(({ answers }) => answers[0].slice(1).map(([name]) => name));
  try {
    options.replaceChildren(...(await names).map((name) => h("option", { value: name })));
  } catch {
    names = undefined;
  }
}

function selectedCells(control, argument, changed) {
  const take = async () => {
    control.value = `=${await selection()}`;
    changed();
  };
  return h("button", { type: "button", class: "plain small", onclick: take, "aria-label": `Selected cells as ${argument.words}` }, "Selected cells");
}

function capital(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

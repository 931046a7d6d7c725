// The table of materials, with search.

import { MATERIAL_WORDS } from "../facts.js";
import { answer } from "./calls.js";
import { isError } from "./cells.js";
import { h, newId, paused } from "./dom.js";
import { failed } from "./failed.js";
import { shown } from "./values.js";

const kept = { text: "", group: "", sources: false };

/** The material table in the units in use. */
export function materialsView(panel) {
  const element = h("div", { class: "materials" }, h("h1", { tabindex: "-1" }, "Materials"), h("p", {}, "One moment…"));
  const load = async () => {
    const rows = await answer({ name: "MATERIALS", arguments: [null, panel.units], listed: false });
    element.replaceChildren(...(isError(rows) ? [failed(panel, new Error(rows.reason))] : filled(rows)));
  };
  load();
  return { element, units: load };
}

function filled([headings, ...rows]) {
  const groups = [...new Set(rows.map((row) => row[1]))];
  const field = h("input", { id: newId("find"), type: "search", autocomplete: "off", spellcheck: "false" });
  const group = h("select", { id: newId("group") }, h("option", { value: "" }, "All groups"), groups.map((name) => h("option", { value: name }, name)));
  const sources = h("input", { id: newId("sources"), type: "checkbox" });
  const count = h("p", { class: "count", role: "status" });
  const place = h("div", {});
  const texts = new Map(rows.map(([name, its]) => [name, `${name} ${its} ${otherWords(name)}`.toLowerCase()]));
  field.value = kept.text;
  group.value = kept.group;
  sources.checked = kept.sources;
  const refresh = () => {
    Object.assign(kept, { text: field.value, group: group.value, sources: sources.checked });
    const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    const found = rows.filter(([name, its]) => (!group.value || its === group.value) && words.every((word) => texts.get(name).includes(word)));
    count.textContent = `${found.length} of ${rows.length} materials`;
    place.replaceChildren(found.length ? table(headings, found, sources.checked) : h("p", {}, "No material goes by these words."));
  };
  field.addEventListener("input", paused(80, refresh));
  group.addEventListener("change", refresh);
  sources.addEventListener("change", refresh);
  refresh();
  return [
    h("h1", { tabindex: "-1" }, "Materials"),
    h("p", {}, "A leaf is made of these, by name. Another material goes by its mass per area, or its density and thickness."),
    h("form", { class: "filter", role: "search", onsubmit: (event) => event.preventDefault() },
      h("div", {}, h("label", { for: field.id }, "Find a material"), field),
      h("div", {}, h("label", { for: group.id }, "Group"), group),
      h("div", { class: "tick" }, sources, h("label", { for: sources.id }, "Show where each comes from"))),
    count,
    place,
  ];
}

/** The words of the trade for a material: they go with what stands before the measures in its name. */
function otherWords(name) {
  const beginning = name.split(/ \d/)[0];
  return Object.entries(MATERIAL_WORDS).flatMap(([word, names]) => (names.includes(beginning) ? [word] : [])).join(" ");
}

function table([name, , ...others], rows, sources) {
  const [figures, told] = [others.slice(0, 3), others.slice(3)];
  const groups = [...new Set(rows.map((row) => row[1]))];
  const line = ([title, , ...cells]) =>
    h("tr", {},
      h("th", { scope: "row" }, title),
      cells.slice(0, 3).map((cell, place) => h("td", { class: "number", "data-heading": figures[place] }, cell === "" ? "–" : shown(cell, 4))),
      sources && cells.slice(3).map((cell, place) => h("td", { class: "source", "data-heading": told[place] }, cell)));
  const width = 4 + (sources ? told.length : 0);
  return h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Table of materials" },
    h("table", { class: sources ? "with-sources" : "" },
      h("thead", {}, h("tr", {}, h("th", { scope: "col" }, name), figures.map((each) => h("th", { scope: "col", class: "number" }, each)), sources && told.map((each) => h("th", { scope: "col" }, each)))),
      groups.map((group) =>
        h("tbody", {},
          h("tr", { class: "group" }, h("th", { scope: "rowgroup", colspan: width }, group)),
          rows.filter((row) => row[1] === group).map(line)))));
}

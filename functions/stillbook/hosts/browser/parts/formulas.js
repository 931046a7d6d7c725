// Finding a formula, and beside the list the one that was chosen.

import { catalogue } from "./catalogue.js";
import { h, newId, paused } from "./dom.js";
import { failed } from "./failed.js";
import { formulaView } from "./formula.js";
import { search, searchable } from "./search.js";

const kept = { text: "", family: "" };

/** The list of formulas with its search, and the detail of one. */
export function formulasView(panel, detail) {
  const element = h("div", { class: "finder" }, h("h1", { tabindex: "-1" }, "Formulas"), h("p", {}, "One moment…"));
  const view = { element, update: () => {} };
  catalogue().then(
    (listing) => fill(panel, view, listing, detail),
    (error) => element.replaceChildren(failed(panel, error)),
  );
  return view;
}

function fill(panel, view, listing, detail) {
  const { element } = view;
  const index = searchable(listing.formulas);
  const listId = newId("list");
  const field = h("input", { id: newId("find"), type: "search", autocomplete: "off", spellcheck: "false", "aria-describedby": newId("hint") });
  const family = h(
    "select",
    { id: newId("family") },
    h("option", { value: "" }, "All subjects"),
    listing.families.map((name) => h("option", { value: name }, name)),
  );
  const count = h("p", { class: "count", role: "status" });
  const list = h("div", { id: listId });
  const shownDetail = h("div", { class: "detail" });

  const refresh = () => {
    kept.text = field.value;
    kept.family = family.value;
    const found = search(index, field.value).filter((formula) => !family.value || formula.family === family.value);
    count.textContent = found.length === 1 ? "1 formula" : `${found.length} formulas`;
    list.replaceChildren(...listed(found, Boolean(field.value.trim()), current));
    if (!found.length) list.append(h("p", {}, "No formula goes by these words. Try fewer, or others such as mass, air, duct, screws or price."));
  };

  let current = "";
  const show = (name) => {
    current = name.toUpperCase();
    const formula = listing.formulas.find((each) => each.name === current);
    element.classList.toggle("with-detail", Boolean(formula));
    detailView.left?.();
    detailView = formula ? formulaView(panel, formula) : {};
    shownDetail.replaceChildren(formula ? detailView.element : welcome(listing));
    mark(list, current);
    document.title = `${formula ? formula.workbook_name : "Formulas"} · Stillbook`;
    return formula ? shownDetail.querySelector("h2") : element.querySelector("h1");
  };
  let detailView = {};

  field.value = kept.text;
  family.value = kept.family;
  field.addEventListener("input", paused(80, refresh));
  family.addEventListener("change", refresh);
  element.replaceChildren(
    h("h1", { tabindex: "-1" }, "Formulas"),
    h(
      "div",
      { class: "find" },
      h("form", { role: "search", onsubmit: (event) => followFirst(event, list) },
        h("label", { for: field.id }, "What do you want to work out?"),
        field,
        h("p", { class: "hint", id: field.getAttribute("aria-describedby") }, "Trade words will do: door weight, fresh air, duct size, cable hole"),
        h("label", { for: family.id }, "Subject"),
        family),
      count,
      list,
    ),
    shownDetail,
  );
  refresh();
  show(detail);
  view.update = show;
  view.units = () => detailView.units?.();
  view.left = () => detailView.left?.();
}

/** Enter in the search field opens the first formula found. */
function followFirst(event, list) {
  event.preventDefault();
  const first = list.querySelector("a");
  if (first) location.hash = first.hash;
}

function listed(found, searched, current) {
  const item = (formula) =>
    h("li", {},
      h("a", { href: `#/formulas/${formula.name}`, "aria-current": formula.name === current && "true" },
        h("span", { class: "name" }, formula.workbook_name),
        h("span", { class: "gist" }, formula.summary)));
  if (searched) return found.length ? [h("ul", { class: "choices" }, found.map(item))] : [];
  const families = [...new Set(found.map((formula) => formula.family))];
  return families.map((family) => {
    const id = newId("family");
    return h("section", { "aria-labelledby": id },
      h("h2", { id }, family),
      h("ul", { class: "choices" }, found.filter((formula) => formula.family === family).map(item)));
  });
}

function mark(list, name) {
  for (const link of list.querySelectorAll("a")) {
    if (link.hash === `#/formulas/${name}`) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
}

function welcome(listing) {
  return h("div", { class: "welcome" },
    h("h2", {}, "Choose a formula"),
    h("p", {}, `There are ${listing.formulas.length}. Each has its arguments, where it comes from, an example calculated here and now, and fields to try your own numbers in.`),
    h("p", {}, "A number alone is in the unit beside its field. Text with a unit means what it says: 36 in, 3'-0\", 900 mm, 2.2 lb/ft², 12 L/s."));
}

// The panel: which part is shown, in which units, and whether the service may be asked.

import { cautionsView } from "./parts/cautions.js";
import { connectView } from "./parts/connect.js";
import { formulasView } from "./parts/formulas.js";
import { materialsView } from "./parts/materials.js";
import { keepToken, token } from "./parts/service.js";
import { setUpView } from "./parts/setup.js";
import { inExcel } from "./parts/sheet.js";
import { whyView } from "./parts/why.js";

const UNITS_KEY = "stillbook.units";

/**
 * The parts. A view gives its `element`; where it has one, `update` to show another detail of the same part, `units`
 * to call when the units change, and `left` to call when another part takes its place.
 */
const PARTS = {
  formulas: { view: formulasView, asks: true },
  why: { view: whyView, asks: true },
  materials: { view: materialsView, asks: true },
  cautions: { view: cautionsView, asks: false },
  "set-up": { view: setUpView, asks: false },
};

const content = document.getElementById("content");
const told = document.getElementById("told");
const units = /** @type {HTMLInputElement[]} */ ([...document.querySelectorAll('input[name="units"]')]);
const links = /** @type {HTMLAnchorElement[]} */ ([...document.querySelectorAll(".parts a")]);
let now = { part: "", view: {} };

/** What the views share. */
const panel = {
  excel: false,

  /** The unit system in use. */
  get units() {
    return units.find((each) => each.checked).value;
  },

  set units(system) {
    units.find((each) => each.value === system).click();
  },

  /** Say something to those who hear the page. */
  say(sentence) {
    told.textContent = "";
    setTimeout(() => (told.textContent = sentence), 50);
  },

  /** Ask for the token, and why. */
  connect(reason) {
    place("connect", connectView(panel, reason));
  },

  /** Show the part in the address anew. */
  again() {
    now.part = "";
    show();
  },
};

/** Part and detail in the address: `#/formulas/DOORMASS`. Help links from Excel say `#/formula/DOORMASS`. */
function route() {
  const [, name = "", detail = ""] = decodeURIComponent(location.hash).split("/");
  const part = name === "formula" ? "formulas" : name;
  return { part: part in PARTS ? part : "formulas", detail };
}

/** Show the part in the address; gives the element that a person who followed a link should stand at. */
function show() {
  const { part, detail } = route();
  for (const link of links) {
    if (link.hash === `#/${part}`) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  if (now.part === part && now.view.update) return now.view.update(detail);
  const { view, asks } = PARTS[part];
  if (asks && !token()) return panel.connect("");
  return place(part, view(panel, detail));
}

function place(part, view) {
  now.view.left?.();
  now = { part, view };
  content.replaceChildren(view.element);
  const heading = content.querySelector("h1");
  document.title = `${heading.textContent} · Stillbook`;
  return heading;
}

/** Take the token from a link that was opened, and out of the address. */
function takeToken() {
  if (!keepToken(location.hash)) return;
  // Office takes the history functions away from pages inside it.
  if (history.replaceState) history.replaceState(null, "", `${location.pathname}${location.search}#/formulas`);
  else location.hash = "#/formulas";
}

function keptUnits(system) {
  try {
    if (system) localStorage.setItem(UNITS_KEY, system);
    return localStorage.getItem(UNITS_KEY);
  } catch {
    return null;
  }
}

async function start() {
  if (location.hash.startsWith("#token=")) takeToken();
  for (const each of units) each.checked = each.value === (keptUnits() ?? "US");
  document.querySelector(".units").addEventListener("change", () => {
    keptUnits(panel.units);
    now.view.units?.();
  });
  panel.excel = await inExcel();
  addEventListener("hashchange", () => {
    const tokenCame = location.hash.startsWith("#token=");
    if (tokenCame) takeToken();
    if (tokenCame) panel.again();
    else if (location.hash.startsWith("#/") || !location.hash) show()?.focus?.();
  });
  show();
}

start();

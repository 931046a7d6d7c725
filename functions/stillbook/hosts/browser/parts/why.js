// Why cells failed: the latest errors that the service gave, with their reasons.

import { h } from "./dom.js";
import { failed, sentence } from "./failed.js";
import { ask } from "./service.js";
import { goTo, onSelection, selection, splitAddress } from "./sheet.js";

const EVERY = 4000;

/** The list of recent errors; beside a spreadsheet, those of the selected cell first. */
export function whyView(panel) {
  const chosen = h("div", { class: "chosen" });
  const list = h("div", {});
  const element = h("div", { class: "why" },
    h("h1", { tabindex: "-1" }, "Why a cell fails"),
    h("p", {}, "The latest errors that formulas gave, newest first. In a cell, STILL_WHY gives the reason for the same arguments."),
    h("p", {}, h("button", { type: "button", class: "plain", onclick: () => look(true) }, "Look again")),
    chosen,
    list);
  let errors = [];
  let seen = "";
  let selected = "";
  let alive = true;

  const showChosen = () => {
    if (!panel.excel) return;
    const own = errors.filter(({ cell }) => cell && sameCell(cell, selected));
    chosen.replaceChildren(
      h("h2", {}, `Selected cell ${selected}`),
      own.length ? h("ul", { class: "errors" }, own.slice(0, 1).map((each) => item(panel, each))) : h("p", { class: "quiet" }, "No error of this cell is known."));
  };

  const look = async (aloud = false) => {
    try {
      ({ errors } = await ask("/recent-errors"));
    } catch (error) {
      if (alive) element.replaceChildren(failed(panel, error));
      alive = false;
      return;
    }
    if (!alive) return;
    const now = JSON.stringify(errors);
    if (now !== seen) {
      list.replaceChildren(errors.length ? h("ul", { class: "errors" }, errors.map((each) => item(panel, each))) : h("p", { class: "quiet" }, "No formula gave an error lately."));
      showChosen();
    }
    seen = now;
    if (aloud) panel.say(errors.length === 1 ? "1 error" : `${errors.length} errors`);
  };

  const select = async () => {
    selected = await selection();
    if (alive) showChosen();
  };

  if (panel.excel) {
    select();
    onSelection(() => alive && select());
  }
  look();
  const timer = setInterval(() => alive && document.visibilityState === "visible" && look(), EVERY);
  return {
    element,
    left() {
      alive = false;
      clearInterval(timer);
    },
  };
}

function sameCell(cell, selected) {
  const [one, other] = [splitAddress(cell), splitAddress(selected)];
  return one.sheet === other.sheet && one.cells.replaceAll("$", "") === other.cells.replaceAll("$", "");
}

function item(panel, { time, formula, code, reason, cell, count }) {
  const name = formula.replace(/^STILL_/, "");
  const where = cell && (panel.excel ? h("button", { type: "button", class: "plain small", onclick: () => goTo(cell), "aria-label": `Go to ${cell}` }, cell) : h("span", {}, cell));
  return h("li", {},
    h("p", { class: "head" }, h("strong", {}, code), " ", where, " ", h("a", { href: `#/formulas/${name}` }, formula)),
    h("p", {}, sentence(reason)),
    h("p", { class: "quiet" }, h("time", { datetime: time }, clock(time)), count > 1 && `, ${count} times`));
}

function clock(time) {
  const when = new Date(time);
  const today = when.toDateString() === new Date().toDateString();
  return when.toLocaleString("en-US", today ? { timeStyle: "medium" } : { dateStyle: "medium", timeStyle: "short" });
}

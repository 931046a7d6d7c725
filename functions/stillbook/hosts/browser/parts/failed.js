// When the service could not be asked.

import { h } from "./dom.js";

/** What went wrong and what to do. A token that is not taken leads to the field for another. */
export function failed(panel, error) {
  if (error.status === 401) {
    queueMicrotask(() => panel.connect("The token was not accepted: paste the link of the service that runs now."));
  }
  return h("div", { class: "problem", role: "alert" },
    h("h1", { tabindex: "-1" }, "No answer"),
    h("p", {}, sentence(error.message)),
    h("button", { type: "button", onclick: () => panel.again() }, "Try again"));
}

/** A reason as a sentence: with a capital and a full stop. */
export function sentence(reason) {
  const text = reason.trim();
  return text.charAt(0).toUpperCase() + text.slice(1) + (/[.?!]$/.test(text) ? "" : ".");
}

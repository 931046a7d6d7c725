// The cautions.

import { CAUTIONS } from "../facts.js";
import { h } from "./dom.js";

/** What the numbers are not, and who must be asked. */
export function cautionsView() {
  return {
    element: h("div", { class: "cautions" },
      h("h1", { tabindex: "-1" }, "Cautions"),
      h("ul", {}, CAUTIONS.map((caution) => h("li", {}, caution)))),
  };
}

// Asking for the token, once.

import { h, newId } from "./dom.js";
import { forgetToken, keepToken } from "./service.js";
import { recalculate } from "./sheet.js";

/** A field for the link that `stillbook serve` prints. */
export function connectView(panel, reason) {
  const field = h("input", { id: newId("link"), type: "text", autocomplete: "off", spellcheck: "false", autocapitalize: "off", required: true });
  const wrong = h("p", { class: "problem", role: "alert", hidden: !reason }, reason);
  if (reason) forgetToken();
  const connect = async (event) => {
    event.preventDefault();
    if (keepToken(field.value)) {
      panel.again();
      if (panel.excel) await recalculate();
      return;
    }
    wrong.hidden = false;
    wrong.textContent = "This holds no token. The link looks like http://127.0.0.1:8347/panel/#token=… and ends with the token.";
    field.focus();
  };
  return {
    element: h("div", { class: "connect" },
      h("h1", { tabindex: "-1" }, "Connect this page"),
      h("p", {}, "The formulas are calculated by the service that this page comes from: started by ", h("code", {}, "stillbook serve"), " on your own computer, or your team's. It answers only to pages that know a token of it."),
      h("form", { onsubmit: connect },
        h("label", { for: field.id }, "The link that stillbook serve prints, or its token"),
        h("div", { class: "entry" }, field, h("button", { type: "submit" }, "Connect"))),
      wrong,
      h("p", { class: "quiet" }, "It is kept in this browser and sent to that service alone.")),
  };
}

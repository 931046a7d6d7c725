// The connection to the service, and how the add-in comes into Excel.

import { VERSION } from "../facts.js";
import { h } from "./dom.js";
import { sentence } from "./failed.js";
import { ask, forgetToken, token } from "./service.js";
import { enterFormulas, recalculate } from "./sheet.js";

/** Whether the service answers, and what can be done about the connection. */
export function setUpView(panel) {
  const state = h("p", { role: "status" }, "Asking the service…");
  const check = async () => {
    try {
      const { version } = await ask("/health");
      state.textContent = `Connected to ${location.host}, version ${version}.`;
      if (version !== VERSION) state.textContent += " This page is from another version: load it again.";
    } catch (error) {
      state.textContent = sentence(error.message);
    }
  };
  check();
  return {
    element: h("div", { class: "set-up" },
      h("h1", { tabindex: "-1" }, "Set-up"),
      h("section", { "aria-labelledby": "service-heading" },
        h("h2", { id: "service-heading" }, "The service"),
        state,
        h("p", { class: "buttons" },
          h("button", { type: "button", class: "plain", onclick: check }, "Check again"),
          token()
            ? h("button", { type: "button", class: "plain", onclick: () => { forgetToken(); panel.connect(""); } }, "Forget the token on this page")
            : h("button", { type: "button", onclick: () => panel.connect("") }, "Connect"))),
      panel.excel ? thisWorkbook() : intoExcel()),
  };
}

function thisWorkbook() {
  const said = h("p", { role: "status" });
  const enter = async () => {
    said.textContent = "Working…";
    try {
      const { entered, left } = await enterFormulas();
      said.textContent = [`${entered} ${entered === 1 ? "formula" : "formulas"} entered again.`, ...left.map((each) => `Left as it was: ${each}`)].join(" ");
    } catch (error) {
      said.textContent = sentence(error.message);
    }
  };
  const again = async () => {
    try {
      await recalculate();
      said.textContent = "Calculated again.";
    } catch (error) {
      said.textContent = sentence(error.message);
    }
  };
  return h("section", { "aria-labelledby": "workbook-heading" },
    h("h2", { id: "workbook-heading" }, "This workbook"),
    h("p", {}, "A workbook that was made elsewhere shows #NAME? until its formulas are entered again here. Only formulas that begin with STILL_ change. Sheets with a password must be unprotected first."),
    h("p", { class: "buttons" },
      h("button", { type: "button", onclick: enter }, "Enter its formulas again"),
      h("button", { type: "button", class: "plain", onclick: again }, "Calculate everything again")),
    said);
}

function intoExcel() {
  const secure = location.protocol === "https:";
  return h("section", { "aria-labelledby": "excel-heading" },
    h("h2", { id: "excel-heading" }, "In Excel"),
    h("p", {}, "Excel in the browser, on Mac and on Windows can use the formulas and show this page beside the sheet."),
    secure
      ? [
          h("p", {}, h("a", { href: "manifest.xml", download: "stillbook-manifest.xml" }, "Save the manifest"), ", the file by which Excel finds the add-in."),
          h("ol", {},
            h("li", {}, "In the browser: Home, Add-ins, More add-ins, My add-ins, Upload my add-in, and choose the file."),
            h("li", {}, "On Mac: put the file in Library/Containers/com.microsoft.Excel/Data/Documents/wef in your home folder, start Excel again, and choose it under Home, Add-ins."),
            h("li", {}, "On Windows: put the file in a shared folder, name that folder under File, Options, Trust Center, Trusted Add-in Catalogs, tick Show in menu, start Excel again, and choose it under Home, Add-ins, Shared folder."),
            h("li", {}, "Open the Stillbook panel on the Home tab, and paste the link that stillbook serve prints.")),
        ]
      : h("p", {}, "Excel loads add-ins over https alone. Start the service with a certificate that this computer trusts, as in ", h("code", {}, "stillbook serve --certificate FILE --key FILE"), ", and open this page there."));
}

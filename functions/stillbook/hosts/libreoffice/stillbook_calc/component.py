"""The UNO component: what Calc and Basic call, and what LibreOffice runs at its events.

LibreOffice loads this file by itself and finds the modules of its package in the folder ``pythonpath`` beside it.
"""

from __future__ import annotations

import json
import traceback
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import uno  # type: ignore[import-not-found]
import unohelper  # type: ignore[import-not-found]
from com.sun.star.sheet import XFunctionAccess  # type: ignore[import-not-found]
from com.sun.star.task import XJob  # type: ignore[import-not-found]
from com.sun.star.util import XChangesListener  # type: ignore[import-not-found]
from stillbook_calc import basic_module, discovery, documents  # type: ignore[import-not-found]
from stillbook_calc.client import Client  # type: ignore[import-not-found]
from stillbook_calc.companion import Companion  # type: ignore[import-not-found]
from stillbook_calc.infobar import Infobar  # type: ignore[import-not-found]
from stillbook_calc.respelling import calls_ours, respelled  # type: ignore[import-not-found]
from stillbook_calc.values import error  # type: ignore[import-not-found]

HERE = Path(__file__).parent
SETTINGS = json.loads((HERE / "settings.json").read_text(encoding="utf-8"))
NAMES = frozenset(name for name, _, _ in SETTINGS["methods"].values())
LOG = discovery.record_file().with_name("calc.log")


INFOBAR = Infobar(uno.getComponentContext)
CLIENT = Client(Companion(SETTINGS["command"], LOG).ask, INFOBAR.tell)


def _method(formula: str, repeats: bool, gives_text: bool) -> Callable[..., Any]:
    def call(_: object, *given: Any) -> Any:
        arguments = list(given)
        if repeats:
            arguments += arguments.pop() or ()
        answer = CLIENT.call(formula, arguments)
        if gives_text and not all(isinstance(cell, str) for row in answer for cell in row):
            # Rows of text cannot hold an error: Calc shows #VALUE! for this.
            raise ValueError("the answer is an error")
        return answer

    return call


class Formulas(unohelper.Base, uno.getClass(SETTINGS["interface"])):  # type: ignore[misc]
    """The formulas as Calc calls them."""

    def __init__(self, _: object) -> None:
        """Made by LibreOffice, which hands over its component context."""


for _name, _about in SETTINGS["methods"].items():
    setattr(Formulas, _name, _method(*_about))


class Calls(unohelper.Base, XFunctionAccess):  # type: ignore[misc]
    """The formulas as Basic calls them."""

    def __init__(self, _: object) -> None:
        """Made by LibreOffice, which hands over its component context."""

    def callFunction(self, name: str, arguments: Any) -> Any:  # noqa: N802
        """A single value, or rows. It never raises: to Basic an exception is no error value."""
        try:
            answer = CLIENT.call(name, list(arguments))
            return answer[0][0] if len(answer) == len(answer[0]) == 1 else answer
        except Exception:
            return error("#VALUE!")


class Job(unohelper.Base, XJob):  # type: ignore[misc]
    """What is done as LibreOffice starts and closes, and as a workbook is opened and saved."""

    def __init__(self, context: Any) -> None:
        self._context = context

    def execute(self, given: Any) -> None:
        """Run at an event. Whatever fails must keep nobody from opening or saving a file, so it is noted alone."""
        try:
            about = {each.Name: each.Value for part in given if part.Name == "Environment" for each in part.Value}
            self._at(about.get("EventName", ""), about.get("Model"))
        except Exception:
            with suppress(OSError):
                LOG.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                LOG.with_name("calc-events.log").write_text(traceback.format_exc(), encoding="utf-8")

    def _at(self, event: str, document: Any) -> None:
        if event in ("OnStartApp", "OnCloseApp"):
            if not SETTINGS["basic"]:
                return
            libraries = self._context.ServiceManager.createInstanceWithContext(
                "com.sun.star.script.ApplicationScriptLibraryContainer", self._context
            )
            if event == "OnStartApp":
                basic_module.put(libraries, (HERE / "Stillbook.bas").read_text(encoding="utf-8"))
            else:
                basic_module.take(libraries)
            return
        documents.respell(document, _as_held)
        if event == "OnLoadFinished":
            documents.settle(document, lambda formula: calls_ours(formula, NAMES))
        if event not in ("OnCreate", "OnLoadFinished") or not SETTINGS["basic"]:
            return
        if document is not None and document.supportsService(documents.SPREADSHEET):
            document.addChangesListener(Changes(document))


class Changes(unohelper.Base, XChangesListener):  # type: ignore[misc]
    """Writes empty text where a typed call of ours leaves a place empty, which Basic would take for 0."""

    def __init__(self, document: Any) -> None:
        self._document = document

    def changesOccurred(self, event: Any) -> None:  # noqa: N802
        """Told by the workbook after each change of cells."""
        with suppress(Exception):
            for change in event.Changes:
                for area in _areas(change.ReplacedElement):
                    documents.respell_range(self._document, area, _as_held)

    def disposing(self, _: Any) -> None:
        """The workbook is closed."""


def _as_held(formula: str) -> str:
    return str(respelled(formula, NAMES))


def _areas(element: Any) -> Any:
    return element if element.supportsService("com.sun.star.sheet.SheetCellRanges") else (element,)


g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816
for _made, _service in ((Formulas, SETTINGS["service"]), (Calls, SETTINGS["calls"]), (Job, SETTINGS["job"])):
    g_ImplementationHelper.addImplementation(_made, f"stillbook.calc.{_made.__name__}", (_service,))

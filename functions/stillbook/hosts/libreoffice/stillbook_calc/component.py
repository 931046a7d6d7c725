"""The UNO component: an object with a method for each formula, which Calc calls.

LibreOffice loads this file by itself and finds the modules of its package in the folder ``pythonpath`` beside it.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import uno  # type: ignore[import-not-found]
import unohelper  # type: ignore[import-not-found]
from stillbook_calc import discovery  # type: ignore[import-not-found]
from stillbook_calc.client import Client  # type: ignore[import-not-found]
from stillbook_calc.starter import Starter  # type: ignore[import-not-found]

SETTINGS = json.loads((Path(__file__).parent / "settings.json").read_text(encoding="utf-8"))


def _runs(process: int) -> bool:
    record = discovery.find()
    return record is not None and record.pid == process


CLIENT = Client(
    discovery.find, Starter(SETTINGS["command"], _runs, discovery.record_file().with_name("calc.log")).start
)


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
    """The formulas as UNO calls them."""

    def __init__(self, _: object) -> None:
        """Made by LibreOffice, which hands over its component context."""


for _name, _about in SETTINGS["methods"].items():
    setattr(Formulas, _name, _method(*_about))

g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816
g_ImplementationHelper.addImplementation(Formulas, SETTINGS["implementation"], (SETTINGS["service"],))

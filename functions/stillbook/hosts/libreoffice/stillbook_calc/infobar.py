"""A line above the cells of every open workbook that says why its formulas are not calculated."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

NAME = "stillbook"
DANGER = 3
"""com.sun.star.frame.InfobarType.DANGER"""


def show(context: Any, reason: str) -> None:
    """Show the reason, in place of one shown before; nothing is shown for none."""
    with suppress(Exception):
        desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        documents = desktop.Components.createEnumeration()
        while documents.hasMoreElements():
            with suppress(Exception):
                _show(documents.nextElement(), reason)


def _show(document: Any, reason: str) -> None:
    if not document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
        return
    controller = document.CurrentController
    if controller.hasInfobar(NAME):
        controller.removeInfobar(NAME)
    if reason:
        controller.appendInfobar(NAME, "Stillbook formulas are not calculated:", reason, DANGER, (), True)

"""A line above the cells of every open workbook that says why its formulas are not calculated."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any

NAME = "stillbook"
DANGER = 3
"""com.sun.star.frame.InfobarType.DANGER"""


class Infobar:
    """Shows a reason, or takes away what is shown where there is none.

    Args:
        context: Gives LibreOffice's component context.
    """

    def __init__(self, context: Callable[[], Any]) -> None:
        self._context = context
        self._lock = threading.Lock()
        self._reason = ""

    def tell(self, reason: str) -> None:
        """Show it soon: not in the midst of a calculation, in which the call that failed still is."""
        self._reason = reason
        threading.Thread(target=self._show_latest, name="stillbook-infobar", daemon=True).start()

    def _show_latest(self) -> None:
        with self._lock, suppress(Exception):
            context = self._context()
            desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
            documents = desktop.Components.createEnumeration()
            while documents.hasMoreElements():
                with suppress(Exception):
                    _show(documents.nextElement(), self._reason)


def _show(document: Any, reason: str) -> None:
    if not document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
        return
    controller = document.CurrentController
    if controller.hasInfobar(NAME):
        controller.removeInfobar(NAME)
    if reason:
        controller.appendInfobar(NAME, "Stillbook formulas are not calculated:", reason, DANGER, (), True)

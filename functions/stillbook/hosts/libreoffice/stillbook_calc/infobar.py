"""A line above the cells of every open workbook that says why its formulas are not calculated."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from .documents import SPREADSHEET

NAME = "stillbook"
DANGER = 3
"""com.sun.star.frame.InfobarType.DANGER"""

TRIES = 5
TRY_SECONDS = 0.5
"""How often it is tried, and how long it waits in between."""


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
        # A workbook that is being opened has no place for it yet.
        for _ in range(TRIES):
            with self._lock, suppress(Exception):
                self._show_now()
            time.sleep(TRY_SECONDS)

    def _show_now(self) -> None:
        context = self._context()
        desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        documents = desktop.Components.createEnumeration()
        while documents.hasMoreElements():
            document = documents.nextElement()
            with suppress(Exception):
                _show(document, self._reason)


def _show(document: Any, reason: str) -> None:
    if not document.supportsService(SPREADSHEET):
        return
    controller = document.CurrentController
    shown = controller.hasInfobar(NAME)
    if shown and not reason:
        controller.removeInfobar(NAME)
    if reason and not shown:
        controller.appendInfobar(NAME, "Stillbook formulas are not calculated:", reason, DANGER, (), True)

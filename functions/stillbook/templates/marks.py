"""Marks that depend on what a cell says: how a rule stands, and rows that show only where they hold something."""

from __future__ import annotations

from typing import TYPE_CHECKING

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Border, Font, PatternFill

from stillbook.templates import look
from stillbook.workbook.job.checks import NOT_ASKED

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet


def states(sheet: Worksheet, area: str) -> None:
    """Mark cells that say how a rule stands; the word carries the meaning, weight and colour repeat it."""
    first = area.split(":", maxsplit=1)[0].replace("$", "")
    for words, colour, bold in ((("Fails", "Error"), look.CAUTION_EDGE, True), (("Waits", NOT_ASKED), look.QUIET_INK, False)):
        for word in words:
            sheet.conditional_formatting.add(area, FormulaRule(formula=[f'LEFT({first},5)="{word[:5]}"'], font=Font(color=colour, bold=bold)))


def quiet_where_blank(sheet: Worksheet, area: str) -> None:
    """Set rows in quiet ink where their first cell is blank, as those of a layer that is not used."""
    first = area.split(":", maxsplit=1)[0]
    sheet.conditional_formatting.add(area, FormulaRule(formula=[f'${first}=""'], font=Font(color=look.QUIET_INK, italic=True)))


def show_where_filled(sheet: Worksheet, area: str, key: str, *, border: Border, fill: PatternFill | None = None) -> None:
    """Draw borders, and a fill, only in the rows of an area whose cell in the column ``key`` shows something."""
    row = area.split(":", maxsplit=1)[0].strip("$ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    sheet.conditional_formatting.add(area, FormulaRule(formula=[f'${key}{row}<>""'], border=border, fill=fill))

"""One formula over a block of cells."""

from __future__ import annotations

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula

from stillbook.templates.calls import with_units_in_place
from stillbook.templates.page import Page


def fill(page: Page, formula: str, row: int, column: int, rows: int, columns: int) -> None:
    """Write one formula whose result fills a block of cells, from its upper left cell on."""
    first = f"{get_column_letter(column)}{row}"
    area = f"{first}:{get_column_letter(column + columns - 1)}{row + rows - 1}"
    page.sheet[first] = ArrayFormula(area, with_units_in_place(formula))

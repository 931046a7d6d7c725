"""A sheet that holds values and formulas and nothing else, for a calculation engine."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from stillbook.cells import Cell, ErrorValue
from stillbook.workbook.file.address import cell_name
from stillbook.workbook.file.markup import escaped
from stillbook.workbook.file.sheet import Key, number_text

_HEAD: Final = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
)
_TAIL: Final = "</sheetData></worksheet>"


def plain_sheet(values: Mapping[Key, Cell], formulas: Mapping[Key, str]) -> bytes:
    """A sheet's part in a file.

    Args:
        values: What stands in cells without a formula, by row and column.
        formulas: Formulas without ``=``, by row and column.
    """
    rows: dict[int, list[tuple[int, str]]] = {}
    for (row, column), value in values.items():
        if value is not None:
            rows.setdefault(row, []).append((column, _value(cell_name(row, column), value)))
    for (row, column), formula in formulas.items():
        cell = f'<c r="{cell_name(row, column)}"><f>{escaped(formula)}</f></c>'
        rows.setdefault(row, []).append((column, cell))
    lines = (f'<row r="{row}">{"".join(cell for _, cell in sorted(rows[row]))}</row>' for row in sorted(rows))
    return f"{_HEAD}{''.join(lines)}{_TAIL}".encode()


def _value(name: str, value: str | float | bool | ErrorValue) -> str:
    if isinstance(value, ErrorValue):
        return f'<c r="{name}" t="e"><v>{value.code}</v></c>'
    if isinstance(value, bool):
        return f'<c r="{name}" t="b"><v>{int(value)}</v></c>'
    if isinstance(value, str):
        # A text without letters would be read as a blank.
        text = f'<is><t xml:space="preserve">{escaped(value)}</t></is>'
        return f'<c r="{name}" t="inlineStr">{text}</c>' if value else f'<c r="{name}"><f>""</f></c>'
    return f'<c r="{name}"><v>{number_text(value)}</v></c>'

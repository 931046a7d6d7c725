"""Rows of octaves on the Air path sheet: eight bands side by side, one formula over all of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.booth.isolation import OCTAVES
from stillbook.templates.page import FIRST, Book, Page

BAND: Final = FIRST + 4
"""Column of the lowest octave."""

RATING: Final = BAND + len(OCTAVES)
"""Column of the NC of a row."""

LEVEL: Final = '0;"<0";0'
"""How a level is shown: what is below 0 dB is not heard."""

NC: Final = "=IFERROR(STILL_NCRATING({s}),70)"
"""NC of a row of levels."""


def column(number: int) -> str:
    """Letter of the column of an octave, counted from 1."""
    letter: str = get_column_letter(BAND + number - 1)
    return letter


def spectrum(first: int, last: int | None = None) -> str:
    """The cells of one row of octaves, or of several."""
    return f"${column(1)}${first}:${column(len(OCTAVES))}${last or first}"


def name(book: Book, page: Page, name: str, first: int, last: int | None = None) -> None:
    """Name one row of octaves, or several."""
    book.name(name, page, first, BAND, last=spectrum(first, last).split(":")[1])


def head(page: Page, *, label: str, before: Sequence[str] = ("", "", ""), last: str = "") -> int:
    """A heading row with the octaves."""
    page.head_row((label, *before, *map(str, OCTAVES), last))
    for number, hz in enumerate(OCTAVES):
        page.sheet.cell(page.at - 1, BAND + number).value = hz
    return page.at - 1


def row(
    page: Page,
    label: str,
    formula: str | None,
    *,
    before: tuple[str | None, str | None, str | None] = (None, None, None),
    formats: tuple[str, str, str] = ("", "", ""),
    last: str | None = None,
    strong: bool = False,
    quiet: bool = False,
    number_format: str = LEVEL,
    border: object = look.ROW,
) -> int:
    """A row of eight octaves that one formula fills; in ``last``, ``{s}`` is the row's octaves."""
    at = rows(page, (label,), formula, before=before, formats=formats, strong=strong, quiet=quiet,
              number_format=number_format, border=border)  # fmt: skip
    if last:
        page.put(at, RATING, last.format(s=spectrum(at)), font=look.STRONG if strong else look.BODY,
                 number_format=look.WHOLE, border=border)  # fmt: skip
    return at


def rows(
    page: Page,
    labels: Sequence[str],
    formula: str | None,
    *,
    before: tuple[str | None, str | None, str | None] = (None, None, None),
    formats: tuple[str, str, str] = ("", "", ""),
    strong: bool = False,
    quiet: bool = False,
    number_format: str = LEVEL,
    border: object = look.ROW,
) -> int:
    """Rows of eight octaves that one formula fills together; gives the first."""
    first = page.at
    for label in labels:
        at = page.row(
            (label, *before, *[None] * len(OCTAVES), None),
            ("text", *formats, *[number_format] * len(OCTAVES), look.WHOLE),
            strong=strong,
            border=border,
        )
        page.sheet.cell(at, FIRST).alignment = look.LEFT
        if quiet:
            page.sheet.row_dimensions[at].height = 12.5
            page.ink(at, look.QUIET)
    if formula:
        page.fill(formula, first, BAND, len(labels), len(OCTAVES))
    return first


def stacked(parts: Sequence[str]) -> str:
    """Rows put one under the other inside a formula, for what takes a block of them."""
    return picked(dict(enumerate(parts[:-1], start=1)), parts[-1], len(parts))


def picked(changed: dict[int, str], others: str, count: int) -> str:
    """A block of ``count`` rows inside a formula, with some of its rows, counted from 1, replaced."""
    numbers = "{" + ";".join(map(str, range(1, count + 1))) + "}"
    block = others
    for place, part in changed.items():
        block = f"IF({numbers}={place},{part},{block})"
    return block


def capped(losses: str, most: float) -> str:
    """Losses, each at most so much."""
    return f"IF({losses}<{most},{losses},{most})"

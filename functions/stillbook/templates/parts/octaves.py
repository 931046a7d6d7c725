"""Rows of octaves of an air path: eight bands side by side, each by its own formula."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.calls import answered
from stillbook.templates.charts import lines
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import bands
from stillbook.trade.physics import sound
from stillbook.trade.quiet_path.duct_sound import ALONG_THE_PATH

OCTAVES: Final = tuple(map(int, sound.OCTAVES))
"""Their middles [Hz]."""

BAND: Final = FIRST + 4
"""Column of the lowest octave."""

RATING: Final = BAND + len(OCTAVES)
"""Column of the NC of a row."""

LEVEL: Final = '0;"<0";0'
"""How a level is shown: what is below 0 dB is not heard."""

ALONG: Final = int(ALONG_THE_PATH)
"""Most that a path of ducts keeps back from end to end [dB]."""

SILENT: Final = int(sound.BAND_VALUE.least)
"""Level of what makes no sound, the least that the formulas give [dB]."""

WORST: Final = 3
"""Octaves listed that are worst."""

Before = tuple[str | None, str | None, str | None]
"""What stands between the label of a row and its octaves."""

NC: Final = "=" + answered("STILL_NCRATING({s})", "70", "{s}", len(OCTAVES))
"""NC of a row of levels."""


def of_an_element(book: Book) -> tuple[str, str, str]:
    """How size, air speed and pressure of an element of a way are shown."""
    return ("text", book.pick(look.WHOLE, look.TWO), book.pick("0.0000", look.TWO))


def column(number: int) -> str:
    """Letter of the column of an octave, counted from 1."""
    letter: str = get_column_letter(BAND + number - 1)
    return letter


def spectrum(first: int, last: int | None = None) -> str:
    """The cells of one row of octaves, or of several."""
    return f"${column(1)}${first}:${column(len(OCTAVES))}${last or first}"


def name(page: Page, name: str, first: int, last: int | None = None) -> None:
    """Name one row of octaves, or several."""
    page.name(name, first, BAND, last or first, RATING - 1)


def head(page: Page, *, label: str, before: Sequence[str] = ("", "", ""), last: str = "") -> int:
    """A heading row with the octaves."""
    return bands.head_row(page, OCTAVES, (last,), (label, *before))


def row(page: Page, label: str, formula: str | None, *, last: str | None = None, strong: bool = False, called: str = "", **style: Any) -> int:
    """A row of eight octaves, styled as :func:`rows` are, and ``called`` by a name in the workbook.

    In the formula ``{n}`` is the octave's number, ``{c}`` its column. In ``last``, ``{s}`` is the row's octaves.
    """
    at = rows(page, (label,), formula, strong=strong, **style)
    if last:
        styled = page.sheet.cell(at, RATING)
        page.put(at, RATING, last.format(s=spectrum(at)), font=look.STRONG if strong else look.BODY, number_format=styled.number_format)
    if called:
        name(page, called, at)
    return at


def less(page: Page, label: str, over: int, under: int, lowest: int, least: str, called: str) -> None:
    """One row less another, and at its end what ``least`` makes of the octaves from the number ``lowest`` to 4000 Hz."""
    at = row(page, label, f"={{c}}{over}-{{c}}{under}", number_format=look.ONE, strong=True)
    formula = least.format(f"MIN({column(lowest)}{at}:{column(7)}{at})")
    page.put(at, RATING, formula, font=look.STRONG, number_format=look.ONE, border=look.ROW)
    page.name(called, at, RATING)


def rows(
    page: Page,
    labels: Sequence[str],
    formula: str | None,
    *,
    before: Before = (None, None, None),
    formats: tuple[str, str, str] = ("", "", ""),
    strong: bool = False,
    quiet: bool = False,
    number_format: str = LEVEL,
    rating_format: str = look.WHOLE,
    border: object = look.ROW,
) -> int:
    """Rows of eight octaves; gives the first.

    In the formula ``{n}`` is the octave's number, ``{c}`` its column and ``{k}`` the number of the row. ``before`` stands
    between label and octaves, in the ``formats``; ``rating_format`` is that of what follows them. Rows are ``strong`` in
    bold, or ``quiet``: small, as workings are.
    """
    first = page.at
    octaves = range(1, len(OCTAVES) + 1)
    for place, label in enumerate(labels, start=1):
        cells = [formula and formula.format(n=number, c=column(number), k=place) for number in octaves]
        values = (label, *before, *cells, None)
        shown = ("text", *formats, *[number_format] * len(cells), rating_format)
        at = page.row(values, shown, strong=strong, border=border)
        page.sheet.cell(at, FIRST).alignment = look.LEFT
        usual = 12.5 if quiet else bands.ROW
        page.sheet.row_dimensions[at].height = max(usual, height_for(label, page.widths[0], look.BODY.size - 1) if not label.startswith("=") else usual)
        if quiet:
            page.ink(at, look.QUIET)
    return first


def change_first(page: Page, called: tuple[str, str, str], heard: str, *, digits: str = "0", known: Callable[[str], str] = "={}".format) -> None:
    """The octaves that are most over the target, each with what is heard most in it.

    Args:
        page: The page.
        called: Names of what is heard most in the worst octave, of what to do about it, and of the octave.
        heard: Names of what is heard, of its levels and of the target, as arguments.
        digits: How many digits a number of decibels is said with.
        known: Makes a cell of a formula.
    """
    page.skip()
    page.heading("What to change first", "the octaves that are most over the target, or nearest to it")
    head = ("Heard most in it", "Octave, Hz", "Level", "Target")
    page.head_row((*head, *[""] * (len(page.widths) - len(head))))
    for place in range(2, WORST + 2):
        most, level, target, over, source, _, lower = (f"INDEX(STILL_CHANGEFIRST({heard}),{place},{column})" for column in range(1, 8))
        words = (
            f'IF({over}<=0,TEXT(-{over},"{digits}")&" dB below the target",TEXT({over},"{digits}")&" dB over: "'
            f'&IF(N({lower})=0,"this change alone is not enough","lower it by "&TEXT({lower},"{digits}")&" dB"))'
        )
        row = page.row((*map(known, (source, most, level, target)), None, known(words)), ("text", *[look.WHOLE] * 3, "", "text"))
        page.sheet.cell(row, FIRST).alignment = look.LEFT
        page.sheet.cell(row, BAND + 1).alignment = look.UNWRAPPED
        if place == 2:
            for name, column in zip(called, (FIRST, BAND + 1, FIRST + 1), strict=True):
                page.name(name, row, column)
    page.skip()


def chart(page: Page, head: int, rows: Sequence[int], at: int, size: tuple[float, float]) -> None:
    """What is heard against the target, from rows of octaves and the row of their heading, at a row."""
    lines(
        page,
        title="Heard at the seat against the NC curve, dB",
        told="Lines by octave: what is heard at the seat, from everything together and from its parts, against the NC curve to hold. The table of octaves on "
        "this sheet holds the figures.",
        value_title="dB",
        labels=(BAND, RATING - 1, head),
        series=rows,
        anchor=f"{get_column_letter(FIRST)}{at}",
        size=size,
        limits=(0, 60),
    )

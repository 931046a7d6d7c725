"""What contractors read of a job besides its lines: the layers leaf by leaf, lengths without waste, and who does what."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from openpyxl.utils import get_column_letter, quote_sheetname

from stillbook.quantities import AREA, LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import said
from stillbook.templates.parts.quiet_room.takeoff import COLUMNS, SELDOM, WHEN_SINGLE, TakeoffLine
from stillbook.templates.parts.said import Said
from stillbook.templates.parts.unit_costs import TRADES
from stillbook.templates.parts.walls import LAYERS, count, material, thickness

_MEASURED: Final = ("STUD", "JOIST", "PLATE", "CHANNEL", "SEALANT", "DUCT")
"""Codes of the lines whose lengths are told."""

_AT: Final = {column.called: get_column_letter(FIRST + offset) for offset, column in enumerate(COLUMNS)}

_WORK: Final = {
    "Shell": "boards, frames, wool, sealant, deck, shells of the boxes",
    "Doors": "slabs, frames, seals, hardware, hung and adjusted",
    "Air": "ducts, boxes, fans, grilles, cooling, set to its airflow",
    "Wiring": "circuit, points, connectors, alarm: a licensed electrician",
    "Site": "finish, treatment, protection, waste, tests",
}
"""What each trade does: common practice, no source."""


def leaf(book: Book, name: str, what: str, areas: Sequence[tuple[str, str]], there: str = "TRUE") -> list[Said]:
    """A leaf with its areas, and under it each of its layers with the thickness of its sheets together.

    Args:
        book: The workbook.
        name: What the names of its layers begin with.
        what: What it is.
        areas: Where it lies, and the area there.
        there: Whether it is there, as a condition.
    """
    area, small = book.unit(AREA), book.unit(LENGTH)
    shown = "&".join(f'IF(N({of})>0,", {where} "&TEXT({of},"#,##0")&" {area}","")' for where, of in areas)
    lines = [Said(there, f'"{what}"&{shown}&":"')]
    for layer in range(1, LAYERS + 1):
        board, sheets = material(name, layer), count(name, layer)
        thick = f'TEXT({thickness(name, layer)},"{book.pick("0.00", "0.0")}")&" {small}"'
        lines.append(Said(f'AND({there},{board}<>"",N({sheets})>0)', f'"– "&{sheets}&IF({sheets}=1," sheet of "," sheets of ")&{board}&": "&{thick}'))
    return lines


def thick(book: Book, words: str, depth: str, there: str = "TRUE") -> Said:
    """What is no board, with its thickness."""
    return Said(there, f'{words}&": "&TEXT({depth},"{book.pick("0.00", "0")}")&" {book.unit(LENGTH)}"')


def most(lines: Sequence[tuple[int, TakeoffLine]]) -> int:
    """The lines of an estimate in one arrangement of doors: those it does without leave room for lines of one's own."""
    return 2 + sum(line.when != WHEN_SINGLE and line.code not in SELDOM and not line.own for _, line in lines)


def measured(source: Page, lines: Sequence[tuple[int, TakeoffLine]]) -> list[Said]:
    """What stands beside the layers: lengths, and who does what, from the lines of the take-off, each with its row."""
    return [*_lengths(source, lines), Said("TRUE", '"Who does what, besides what others do:"'), *_trades()]


def _lengths(source: Page, lines: Sequence[tuple[int, TakeoffLine]]) -> list[Said]:
    """The lengths of the take-off without waste."""
    sheet = quote_sheetname(source.sheet.title)
    told = []
    for row, line in lines:
        if line.code in _MEASURED:
            text, pieces, net, unit, off = (f"{sheet}!{_AT[key]}{row}" for key in ("text", "pieces", "net", "net_unit", "off"))
            words = f'{text}&IF({pieces}="","",", to order "&{pieces})'
            told.append(Said(f'AND(N({net})>0,{off}="")', words, f'TEXT({net},"#,##0")&" "&{unit}'))
    return told


def _trades() -> list[Said]:
    """Each trade that has a line to be priced, what it does, and in how many lines."""
    told = []
    for trade in TRADES:
        number = f'COUNTIFS(line_trade,"{trade}",line_numbers,">0")'
        told.append(Said(f"{number}>0", f'"{trade}: {_WORK[trade]}"', f'{number}&IF({number}=1," line"," lines")'))
    return told


def write(page: Page, lines: Sequence[tuple[int, TakeoffLine]], layers: Sequence[Said], beside: Sequence[Said]) -> None:
    """Write the tables of both on a sheet of lists, and of each line of the take-off what it is made of or sold in."""
    page.skip()
    page.put(page.at, FIRST, "What the lines are made of or sold in, for the scope", font=look.QUIET)
    page.at += 1
    first = page.at
    for _, line in lines:
        page.put(page.at, FIRST, f"={line.spec}" if line.spec else None, font=look.SMALL, align=look.SHRUNK)
        page.sheet.row_dimensions[page.at].height = 13
        page.at += 1
    page.name("line_specs", first, FIRST, page.at - 1)
    said.write(page, "layers", "Layers that contractors read", layers)
    said.write(page, "beside", "Lengths and trades that contractors read beside them", beside)

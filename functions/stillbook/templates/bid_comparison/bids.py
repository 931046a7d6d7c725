"""Bids: side by side, as their bidders wrote them."""

from __future__ import annotations

from typing import Final

from openpyxl.cell import Cell
from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS, heading
from stillbook.templates.bid_comparison.lines import ITEM
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed, widths

GROUPS: Final = (LETTERS[:3], LETTERS[3:])
"""Bids that print side by side."""

_EACH: Final = 4
"""Columns of one bid: quantity, unit price, line total, mark."""


def typed_columns(book: Book, letter: str) -> tuple[Typed, ...]:
    """The columns of one bid."""
    x = letter.lower()
    return (
        typed(book, "Quantity, changed", f"bid_{x}_quantities", 10.5, "", 0, 1e7).saying("Only where the bid writes another than asked."),
        typed(book, "Unit price", f"bid_{x}_prices", 12.5, "", 0, 1e9, look.PRICE).saying("As the bid writes it; blank for none, 0 for included."),
        typed(book, "Line total", f"bid_{x}_totals", 13.5, "", 0, 1e9, look.PRICE).saying(
            "As the bid writes it. Where it stands alone, it gives the unit price."
        ),
    )


def _asked() -> tuple[Worked, ...]:
    return (
        Worked("No.", "{asked_numbers}", 6, words=True),
        Worked("Item", "{asked_texts}", ITEM, words=True),
        Worked("Quantity", "{asked_quantities}", 9.5, number_format="#,##0.0"),
        Worked("Unit", "{asked_units}", 8, words=True),
        Worked("Ours, of one", 'IF(N({asked_quantities})=0,"",N({asked_costs})/{asked_quantities})', 10.5, number_format=look.PRICE),
    )


def _columns(book: Book) -> list[Typed | Worked]:
    """The lines and three bids, and once more the lines and the other three."""
    shown: list[Typed | Worked] = []
    for letters in GROUPS:
        shown += _asked()
        for letter in letters:
            shown += [*typed_columns(book, letter), Worked("", '""', 3, f"mark_{letter.lower()}", words=True)]
    return shown


def write(book: Book, asked: Schedule) -> Page:
    """Write the sheet; its marks come with :func:`mark`."""
    shown = _columns(book)
    before, half = len(_asked()), len(shown) // 2
    page = book.page(
        "Bids",
        "Each bid as its bidder wrote it: unit prices, and line totals where they are written. ! points to the Findings sheet.",
        widths(shown),
        wide=True,
        printed=half,
    )
    page.put(1, FIRST + half, "Bids", font=look.TITLE).alignment = look.UNWRAPPED
    for place, letter in enumerate(LETTERS):
        _name(page, FIRST + before + place * _EACH + (before if place >= len(GROUPS[0]) else 0), letter)
    page.sheet.row_dimensions[page.at].height = 18
    page.at += 1
    first = asked.write(page, shown)
    page.sheet.row_dimensions[first - 1].height = 34
    page.sheet.cell(first - 1, FIRST + half).alignment = look.LEFT
    for line in range(first, first + asked.count):
        for start in (FIRST, FIRST + half):
            page.sheet.cell(line, start).alignment = look.LEFT
            for at in range(start + 2, start + half):
                _fit(page.sheet.cell(line, at))
    page.sheet.freeze_panes = f"{get_column_letter(FIRST + 2)}{first}"
    page.finish(page.at - 1)
    page.sheet.print_area = [
        f"{get_column_letter(left)}1:{get_column_letter(right)}{page.at - 1}" for left, right in ((1, FIRST + half - 1), (FIRST + half, page.last_column))
    ]
    page.sheet.print_title_rows = f"1:{first - 1}"
    return page


def _fit(cell: Cell) -> None:
    """Let a number shrink rather than be cut, and keep off its line by its format: LibreOffice forgets the indent beside another number."""
    if cell.alignment.horizontal == "right":
        cell.alignment, cell.number_format = look.SHRUNK_RIGHT, f"{cell.number_format}_)"


def _name(page: Page, column: int, letter: str) -> None:
    """Who bids, over the columns of the bid."""
    for offset in range(_EACH):
        page.sheet.cell(page.at, column + offset).border = look.HEAD_ROW
    page.put(page.at, column, heading(letter, 36), font=look.STRONG, align=look.UNWRAPPED, border=look.HEAD_ROW)
    page.merge(page.at, column, column + _EACH - 1)


def mark(page: Page, asked: Schedule) -> None:
    """Write the marks of a sheet, which say that there is a finding on that line of that bid."""
    for letter in LETTERS.lower():
        place = asked.places[f"mark_{letter}"]
        for number in range(asked.count):
            cells = asked.cells(number)
            told = "&".join(cells[f"{kind}_{letter}"] for kind in ("missing", "quantity", "sum", "slip"))
            cell = page.sheet.cell(place.first + number, place.column)
            cell.value, cell.font = f'=IF({told}="","","!")', look.STRONG

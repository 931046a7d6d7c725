"""Parts of a page that is sent: whom it is for, sentences, sums, and the terms. It shows no cost, margin or rate."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page

NOT_INCLUDED: Final = (
    "Not included: permits, a structural engineer's check of the floor, changes to the building's own walls, power supply or "
    "ventilation, moving of furniture, and anything not named above."
)
VALID: Final = (
    '=IF(N(estimate_date)=0,"The price stands for "&valid_days&" days from the date of this proposal.",'
    '"The price stands until "&TEXT(estimate_date+valid_days,"yyyy-mm-dd")&".")'
)
VALID_AND_TAX: Final = f'{VALID}&IF(tax=0," No tax is in it.","")'
SEALED: Final = "The room is sealed: the fan must run while anyone is inside. When the alarm shows, open the door and leave."
LICENSED: Final = "Electrical work, fire-stopping and the way out follow local codes and are done by licensed trades."
WEIGHT: Final = "The shell is heavy. A structural engineer must confirm that the floor carries it before work starts."

SENTENCE: Final = 15.0
"""Height of a row of one line of a sentence."""


def _line(page: Page, label: str, formula: str) -> None:
    row = page.at
    page.put(row, FIRST, label, font=look.QUIET, align=look.LEFT)
    page.put(row, FIRST + 1, formula, align=look.LEFT)
    page.merge(row, FIRST + 1)
    page.sheet.row_dimensions[row].height = 17
    page.at += 1


def optional(label: str, who: str = "prepared_by") -> tuple[tuple[str, str], ...]:
    """Label and value of the reference and of who stands behind it, as far as they are filled in: no gap for a blank one."""
    blank = f'({who})=""'
    return (
        (f'=IF(reference<>"","Reference",IF({blank},"","{label}"))', f'=IF(reference<>"",reference,{who})&""'),
        (f'=IF(OR(reference="",{blank}),"","{label}")', f'=IF(reference="","",{who})&""'),
    )


def dated(revisions: bool = True) -> str:
    """The date, and after it the revision where the template has them."""
    date = '=IF(N(estimate_date)=0,"(date not filled in)",TEXT(estimate_date,"yyyy-mm-dd"))'
    return f"{date}&revision_words" if revisions else date


def parties(page: Page, *, revisions: bool = True) -> None:
    """Write for whom it is, what for, when and by whom."""
    _line(page, "For", '=IF(client="","(client not filled in)",client)')
    _line(page, "Project", '=IF(project="","(project not filled in)",project)')
    _line(page, "Date", dated(revisions))
    for label, formula in optional("Prepared by"):
        _line(page, label, formula)
    page.skip()


def sentence(page: Page, formula: str, lines: int = 1) -> None:
    """Write words, or a formula that gives them, over the width of the page."""
    row = page.at
    page.put(row, FIRST, formula).alignment = look.TOP_LEFT if lines > 1 else look.LEFT
    page.merge(row, FIRST)
    page.sheet.row_dimensions[row].height = 14 * lines + SENTENCE - 14
    page.at += 1


def sentences(page: Page, *formulas: str) -> None:
    """Write sentences of one line each."""
    for formula in formulas:
        sentence(page, formula)


def amount(page: Page, label: str, formula: str, *, strong: bool = False) -> None:
    """Write a sum of money at the right end of a row."""
    row, font, border = page.at, look.STRONG if strong else look.BODY, look.TOTAL_ROW if strong else look.ROW
    page.rule(row, border)
    page.put(row, FIRST, label, font=font, border=border).alignment = look.UNWRAPPED
    page.put(row, page.last_column - 1, "=currency", font=look.QUIET, border=border)
    page.put(row, page.last_column, formula, font=font, number_format=look.PRICE, border=border)
    page.sheet.row_dimensions[row].height = 18
    page.at += 1


def size(what: str) -> str:
    """Length, width and height of what is so named, without their unit."""
    return '&" × "&'.join(f'TEXT({what}_{side},"0.00")' for side in ("length", "width", "height"))


def shell(book: Book) -> tuple[str, str]:
    """What the shell is: its sizes, and its two walls, in sentences."""
    large = book.unit(ROOM_LENGTH)
    return (
        f'="A room inside a room: "&{size("room")}&" {large}"&" inside, "&{size("outside")}&" {large}"&" outside, on its own floor."',
        '="Two separate walls with nothing bridging them: "&TEXT(inner_mass,"0.0")&" and "&TEXT(outer_mass,"0.0")'
        f'&" {book.unit(SURFACE_MASS)}, with "&IF(cavity_fill="filled","a filled","an empty")&" cavity between them, "'
        f'&TEXT(cavity,"0")&" {book.unit(LENGTH)} deep."',
    )


def terms(page: Page, term: str, not_included: str, notes: Sequence[str]) -> None:
    """Write how long the price stands, one more term, what is not included, and what to note."""
    page.heading("Terms")
    sentences(page, VALID, term)
    sentence(page, not_included, 2)
    page.skip()
    page.cautions("Please note", notes)

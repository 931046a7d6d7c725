"""The first page of a workbook: what the job is, where it stands, the cautions and the sheets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from stillbook.cautions import CAUTIONS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page


@dataclass(frozen=True)
class Figure:
    """One of the few numbers one asks for first."""

    label: str
    formula: str
    number_format: str = look.GENERAL
    unit: str = ""


_DENIED: Final = (
    'IF(checks_in_error>0,checks_in_error&IF(checks_in_error=1," error"," errors"),'
    'checks_failed&" to look at"&IF(checks_waiting>0,", "&checks_waiting&" waiting",""))'
)
CHECKS: Final = Figure("Checks", f'=IF(checks_denied>0,{_DENIED},IF(checks_waiting>0,checks_waiting&" waiting","all pass"))')
"""Where the checks stand."""

JOB: Final = (
    ("Client", '=IF(client="","not filled in",client)'),
    ("Project", '=IF(project="","not filled in",project)'),
    ("Reference", '=IF(reference="","",reference)'),
    ("Date", '=IF(N(estimate_date)=0,"not filled in",TEXT(estimate_date,"yyyy-mm-dd"))'),
)
"""The rows that say whose job it is."""

LOCKED: Final = "Boxed cells are inputs; all other cells are locked, without a password."
KEPT: Final = "A program without the formulas shows the values last calculated, and #NAME? in all that follows from an input changed there."


def order(sheets: Sequence[tuple[str, str]]) -> list[str]:
    """The sheets in their order: this one, and those that it lists."""
    return ["Start", *(sheet for sheet, _ in sheets)]


def told(page: Page, rows: Sequence[tuple[str, str]]) -> None:
    """Write rows of a quiet label and what there is to say of it."""
    for label, formula in rows:
        page.put(page.at, FIRST, label, font=look.QUIET)
        page.put(page.at, FIRST + 1, formula).alignment = look.UNWRAPPED
        page.at += 1
    page.skip()


def write(
    book: Book,
    purpose: str,
    *,
    about: Sequence[tuple[str, str]],
    figures: Sequence[Figure],
    sheets: Sequence[tuple[str, str]],
    closing: str,
    cautions: Sequence[str] = CAUTIONS,
    middle: tuple[float, float] = (18, 18),
    aligned: Any = look.UNWRAPPED,
    drawn: Callable[[Page], None] | None = None,
) -> Page:
    """Write the sheet; it has five columns, so at most five figures.

    ``middle`` are the widths of the third and the fourth; ``aligned`` is how the figures stand in theirs; ``drawn``
    writes drawings under them.
    """
    page = book.page("Start", purpose, (20, 20, *middle, 22), title=book.title, single=True)
    for label, formula in about:
        page.put(page.at, FIRST, label, font=look.QUIET)
        page.put(page.at, FIRST + 1, formula).alignment = look.LEFT
        _close(page)
    page.skip()
    page.heading("Where it stands")
    for offset, figure in enumerate(figures):
        page.put(page.at, FIRST + offset, figure.label, font=look.QUIET)
        for down, text, font in ((1, figure.formula, look.FIGURE), (2, figure.unit or None, look.QUIET)):
            page.put(page.at + down, FIRST + offset, text, font=font).alignment = aligned
        page.sheet.cell(page.at + 1, FIRST + offset).number_format = figure.number_format
    page.sheet.row_dimensions[page.at + 1].height = 30
    page.skip(4)
    if drawn:
        drawn(page)
    page.cautions("Cautions", cautions)
    page.heading("Sheets")
    for sheet, text in sheets:
        cell = page.put(page.at, FIRST, sheet)
        cell.hyperlink = f"#'{sheet}'!A1"
        cell.font = look.STRONG
        page.put(page.at, FIRST + 1, text)
        _close(page)
    page.skip()
    page.note(closing)
    page.finish()
    return page


def _close(page: Page) -> None:
    """Close a row whose text runs from the second column to the last."""
    page.merge(page.at, FIRST + 1)
    page.at += 1

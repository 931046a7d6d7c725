"""The tabs of an estimate: its sheets in groups by who works there, told by their colour and in words on the first sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page


@dataclass(frozen=True)
class Group:
    """Sheets on which the same people work.

    Args:
        title: Who or what for, in a word or two.
        colour: Of the tabs.
        sheets: The sheets, in order.
    """

    title: str
    colour: str
    sheets: tuple[str, ...]


GROUPS: Final = (
    Group("The job", look.ACCENT, ("Start", "Inputs", "Checks")),
    Group("Engineering", "4C5F94", ("Shell", "Surfaces", "Doors", "Isolation", "Room", "Air", "Ducts", "Air path", "Wiring")),
    Group("Money", "9C7A2E", ("Own lines", "Take-off", "Job price", "Price range", "Alternates", "Unit costs", "Assemblies")),
    Group("To send", look.CAUTION_EDGE, ("Proposal", "Scope")),
    Group("To look up", "6F7B84", ("Names", "Lists", "Drawing")),
)
"""Every sheet of an estimate has its place here; a template may lack some."""


def arrange(book: Book) -> Book:
    """Put the sheets in the order of their groups, and colour their tabs; gives the book.

    Raises:
        ValueError: If a sheet is in no group.
    """
    order = {sheet: (place, group) for place, (sheet, group) in enumerate((sheet, group) for group in GROUPS for sheet in group.sheets)}
    lost = [sheet for sheet in book.workbook.sheetnames if sheet not in order]
    if lost:
        raise ValueError(f"in no group of sheets: {', '.join(lost)}")
    book.workbook._sheets.sort(key=lambda sheet: order[sheet.title][0])
    for sheet in book.workbook.worksheets:
        sheet.sheet_properties.tabColor = order[sheet.title][1].colour
    return book


def told(page: Page, sheets: Sequence[tuple[str, str]]) -> None:
    """Write the sheets with what each is for, group by group, with a link to each.

    Args:
        page: The page.
        sheets: Name and purpose of each sheet that is told.
    """
    purposes: Mapping[str, str] = dict(sheets)
    for group in GROUPS:
        for place, sheet in enumerate(name for name in group.sheets if name in purposes):
            page.put(page.at, FIRST, "" if place else group.title, font=look.QUIET)
            page.link(page.at, FIRST + 1, sheet, sheet, font=look.STRONG)
            page.put(page.at, FIRST + 2, purposes[sheet]).alignment = look.UNWRAPPED
            page.merge(page.at, FIRST + 2)
            page.at += 1
    page.skip()

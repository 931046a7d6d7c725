"""The tabs of an estimate: its sheets in groups by who works there, told by their colour and in words on the first sheet."""

from __future__ import annotations

from collections.abc import Mapping
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
        sheets: The sheets in their order, and what each is for; nothing where a template says it, or nobody.
    """

    title: str
    colour: str
    sheets: Mapping[str, str]


GROUPS: Final = (
    Group("The job", look.ACCENT, {"Start": "", "Inputs": "", "Checks": "Each rule of the trade: passes, fails with what to do, waits, or is an error."}),
    Group(
        "Engineering",
        "4C5F94",
        {
            "Shell": "",
            "Surfaces": "",
            "Doors": "A pair or one heavy door, its least mass, and ways to reach it.",
            "Isolation": "",
            "Room": "What the surfaces inside absorb, reverberation, treatment, modes, floor left.",
            "Air": "Airflow for the people, CO2 over the day, heat, minutes left when the fan stops.",
            "Ducts": "Sizes that keep the air quiet, and outside sizes.",
            "Air path": "Both ways of the air: pressure, sound by octave against the target, the fans, the baffle boxes.",
            "Wiring": "Circuit load, cable holes, boxes and panels, and what they leak.",
        },
    ),
    Group(
        "Money",
        "9C7A2E",
        {
            "Own lines": "Lines of your own, assemblies chosen by code, and lines that are switched off.",
            "Take-off": "Quantities with waste, in what is sold.",
            "Job price": "Cost by line and by trade, and the steps to the price.",
            "Price range": "Low to high by trade, the price at a confidence, and the contingency that takes.",
            "Alternates": "Allowances, alternates and revisions, and what the other sheets say of them.",
            "Unit costs": "Unit costs, rates of work and labour rates: your own figures.",
            "Assemblies": "Made-up work by its unit, and the parts it is made of.",
        },
    ),
    Group(
        "To send", look.CAUTION_EDGE, {"Proposal": "The page for the client.", "Scope": "The page for contractors: quantities to be priced, without prices."}
    ),
    Group(
        "To look up",
        "6F7B84",
        {
            "Names": "What formulas and programs call each input and result, with links.",
            "Lists": "Materials and other words that the drop-downs offer.",
            "Drawing": "",
        },
    ),
)
"""Every sheet of an estimate has its place here; a template may lack some, and says itself what others are for."""


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


def told(page: Page, own: Mapping[str, str]) -> None:
    """Write the sheets with what each is for, group by group, with a link to each; ``own`` says it of those that no other template has alike."""
    for group in GROUPS:
        purposes = {sheet: purpose for sheet, shared in group.sheets.items() if (purpose := own.get(sheet, shared))}
        for place, (sheet, purpose) in enumerate(purposes.items()):
            page.put(page.at, FIRST, "" if place else group.title, font=look.QUIET)
            page.link(page.at, FIRST + 1, sheet, sheet, font=look.STRONG)
            page.put(page.at, FIRST + 2, purpose).alignment = look.UNWRAPPED
            page.merge(page.at, FIRST + 2)
            page.at += 1
    page.skip()

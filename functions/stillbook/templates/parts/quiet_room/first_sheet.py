"""The sheet an estimator lives in: what differs from job to job, beside it what it comes to against its targets, below
it what fails or waits, in words with a link, then drawings, cautions and the other sheets.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Final

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from stillbook.templates import look, marks
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Book, Page, longest_typed
from stillbook.templates.parts import front
from stillbook.templates.parts.check_sheet import ADVICE, RULE, STATE
from stillbook.templates.parts.closed import like
from stillbook.templates.parts.quiet_room import explored, tabs
from stillbook.workbook.job.inputs import InputSpec

RESULT: Final = FIRST + 4
"""The column of the results' labels; their value, unit, target and state follow."""

TOLD: Final = 6
"""Checks that are told in words; of those after them the number."""

_WIDTHS: Final = (27, 23, 8, 1.5, 24, 18, 7, 18, 8)


@dataclass(frozen=True)
class Outcome:
    """A result on the first sheet.

    Args:
        label: What it is.
        formula: Its value.
        unit: Its unit, or a formula of it.
        target: What it should be, as a formula that gives words.
        state: The formula, without its sign, of whether it is that.
        number_format: How it is shown.
        key: Whether it is one of the first that one looks for.
    """

    label: str
    formula: str
    unit: str = ""
    target: str = ""
    state: str = ""
    number_format: str = look.GENERAL
    key: bool = False


def limit(words: str, name: str, number_format: str = "#,##0", *, unknown: str = "not known yet") -> str:
    """A target in words: at least or at most what a cell holds, or that it holds nothing yet."""
    return f'=IF(N({name})=0,"{unknown}","{words} "&TEXT({name},"{number_format}"))'


def write(
    book: Book,
    purpose: str,
    asked: Sequence[InputSpec],
    outcomes: Sequence[Outcome],
    sheets: Mapping[str, str],
    closing: str,
    told: Sequence[str],
    drawn: Callable[[Page], None] | None = None,
    words: Sequence[str] = (),
) -> Page:
    """Write the sheet.

    Args:
        book: The workbook.
        purpose: The sentence under its title.
        asked: The inputs.
        outcomes: The results.
        sheets: What those other sheets are for that no other template has alike.
        closing: The note at its end.
        told: The cautions.
        drawn: Writes the drawings.
        words: What the ratings mean to a client, as formulas that give sentences.
    """
    page = book.page("Start", purpose, _WIDTHS, title=book.title)
    page.heading("What is asked for")
    head = page.at - 1
    for offset, (text, font) in enumerate(
        (("What it comes to", look.HEADING), ("", look.QUIET), ("", look.QUIET), ("Target", look.QUIET), ("State", look.QUIET))
    ):
        page.put(head, RESULT + offset, text or None, font=font, border=look.UNDER_HEADING).alignment = look.UNWRAPPED
    first = page.at
    for entry, outcome in zip_longest(asked, outcomes):
        if entry is not None:
            _ask(page, entry)
        if outcome is not None:
            _come_to(page, outcome)
        page.at += 1
    state = get_column_letter(RESULT + 4)
    marks.states(page.sheet, f"{state}{first}:{state}{page.at - 1}")
    page.note("In italics: the template's value, as long as nothing else is typed. What an office sets once lies in the closed parts of the Inputs sheet.")
    _in_words(page, words)
    page.skip()
    _to_look_at(page)
    page.skip()
    explored.tell(page)
    page.break_here()
    if drawn:
        drawn(page)
    page.cautions("Cautions", told)
    page.heading("Sheets", "by who works there, as the colours of the tabs")
    tabs.told(page, sheets)
    page.note(closing)
    page.finish()
    return page


def _ask(page: Page, entry: InputSpec) -> None:
    row = page.at
    page.put(row, FIRST, entry.label)
    page.input_cell(row, FIRST + 1, entry)
    page.put(row, FIRST + 2, "" if entry.unit == "text" else entry.unit, font=look.QUIET, align=look.UNIT)
    if entry.default not in (None, ""):
        cell = f"{get_column_letter(FIRST + 1)}{row}"
        page.sheet.conditional_formatting.add(cell, FormulaRule(formula=[like(cell, entry)], font=Font(color=look.QUIET_INK, italic=True)))
    words = longest_typed(entry) or ("x" * max(map(len, entry.choices)) if entry.choices else "")
    page.sheet.row_dimensions[row].height = max(
        17.0, height_for(words if entry.name != "reference" else "", page.widths[1] - 2, 10.5), height_for(entry.label, page.widths[0], 10.5)
    )


def _come_to(page: Page, outcome: Outcome) -> None:
    row, font = page.at, look.STRONG if outcome.key else look.BODY
    page.put(row, RESULT, outcome.label, font=font, border=look.ROW)
    page.put(row, RESULT + 1, outcome.formula, font=font, number_format=outcome.number_format, border=look.ROW, align=look.SHRUNK_RIGHT)
    page.put(row, RESULT + 2, outcome.unit or None, font=look.QUIET, align=look.UNIT, border=look.ROW)
    page.put(row, RESULT + 3, outcome.target or None, font=look.QUIET, align=look.LEFT, border=look.ROW)
    page.put(row, RESULT + 4, f"={outcome.state}" if outcome.state else None, align=look.LEFT, border=look.ROW)


def _in_words(page: Page, words: Sequence[str]) -> None:
    """Sentences over the width of the page, the first of them with what they are."""
    page.skip()
    for number, formula in enumerate(words):
        page.put(page.at, FIRST, None if number else "In words", font=look.QUIET).alignment = look.TOP_LEFT
        page.put(page.at, FIRST + 1, formula, font=look.SMALL).alignment = look.TOP_LEFT
        page.merge(page.at, FIRST + 1)
        page.sheet.row_dimensions[page.at].height = 27
        page.at += 1


def _to_look_at(page: Page) -> None:
    """The checks that fail, are errors or wait, in words, each with a link to where the matter stands."""
    page.heading("To look at, and not known yet", "the word at the right leads there")
    first, link = page.at, page.last_column - 1
    for number in range(1, TOLD + 1):
        row, at = page.at, f"MATCH({number},check_order,0)"
        state, rule = f"INDEX(checks,{at},{STATE})", f"INDEX(checks,{at},{RULE})"
        known = f"MATCH({rule},check_rules,0)"
        lacks = f"INDEX(check_lacks,{known})"
        said = (
            f'{rule}&IF({state}="Fails",": "&INDEX(checks,{at},{ADVICE}),IF({state}="Waits",IF({lacks}="",": it waits for an input.",'
            f'": fill in """&{lacks}&"""."),": a formula that it needs is an error."))'
        )
        nothing = '"All checks pass. A pass is not an approval: codes and engineers decide."' if number == 1 else _REST.format(number - 1)
        page.put(row, FIRST, f'=IFERROR({state},"")', font=look.STRONG, align=look.LEFT)
        page.put(row, FIRST + 1, f"=IFERROR({said},{nothing})", font=look.SMALL, align=look.LEFT)
        page.merge(row, FIRST + 1, link - 1)
        place = f'IF({state}="Waits",INDEX(check_inputs,{known}),INDEX(check_places,{known}))'
        sheet = f"INDEX(check_sheets,{known})"
        there = f'IF(AND({state}="Waits",{lacks}<>""),"type it above →",{sheet}&" →")'
        onward = f'IF({number}=MAX(check_order)+1,"Checks →","")'
        page.put(row, link, f'=HYPERLINK(IFERROR("#"&{place},"#Checks!A1"),IFERROR({there},{onward}))', font=look.LINK, align=look.UNIT)
        page.merge(row, link)
        page.sheet.row_dimensions[row].height = 27
        page.at += 1
    letter = get_column_letter(FIRST)
    marks.states(page.sheet, f"{letter}{first}:{letter}{page.at - 1}")
    marks.show_where_filled(page.sheet, f"{letter}{first}:{get_column_letter(page.last_column)}{page.at - 1}", letter, border=look.ROW)
    more = f"MAX(check_order)-{TOLD}"
    rest = f'=IF({more}>0,"And "&({more})&" more on the Checks sheet.",{_REST.format(TOLD)})'
    page.put(page.at, FIRST + 1, rest, font=look.SMALL, align=look.LEFT)
    page.merge(page.at, FIRST + 1, link - 1)
    page.put(page.at, link, f'=HYPERLINK("#Checks!A1",IF({more}<0,"","Checks →"))', font=look.LINK, align=look.UNIT)
    page.at += 1


_REST: Final = 'IF(MAX(check_order)={0},"No other fails or waits.","")'
"""What is told after the last check that is told, as many as there are."""


CHECKS: Final = Outcome("Checks", front.CHECKS.formula, key=True)
"""Where the checks stand."""

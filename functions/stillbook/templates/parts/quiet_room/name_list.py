"""The list of names: every input and result by the name that formulas and programs call it, with a link, and where
each check leads.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from openpyxl.utils import get_column_letter, quote_sheetname

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.check_sheet import STATE, CheckRow
from stillbook.workbook.job.notes import note_parts
from stillbook.workbook.job.precedents import words_of

_CHECKS: Final = ("check_rules", "check_sheets", "check_places", "check_inputs", "check_lacks", "", "check_order")


def write(book: Book, rules: Sequence[CheckRow]) -> Page:
    """Write the sheet, once all others are written."""
    page = book.page(
        "Names",
        "What formulas, --set and other programs call each input and result. The sheet at the right leads there.",
        (46, 34, 24, 24, 24, 9, 7),
        wide=True,
    )
    listed = sorted(_listed(book), key=lambda entry: entry[0].casefold())
    for title, held in (("Inputs", True), ("Results", False)):
        page.heading(title)
        page.head_row(("What it is", "Name", "Unit", "Sheet", "", "", ""), words=(0, 1, 2, 3))
        for name, label, unit, sheet, cell, is_input in listed:
            if is_input == held:
                for offset, text in enumerate((label, name, unit)):
                    page.put(page.at, FIRST + offset, text, font=look.SMALL, align=look.SHRUNK if offset == 0 else look.UNIT)
                page.link(page.at, FIRST + 3, sheet, sheet, cell, font=look.LINK)
                page.at += 1
        page.skip()
    _lead(book, page, rules)
    page.finish(page.at - 1)
    page.never_print()
    return page


def _listed(book: Book) -> Iterator[tuple[str, str, str, str, str, bool]]:
    """Name, label, unit, sheet, cell of each input and result, and whether it is an input."""
    for name, entry in book.workbook.defined_names.items():
        help_text, parts = note_parts(entry.comment or "")
        if name in book.labels or parts:
            label, unit = book.labels.get(name, (help_text, parts.get("unit") or ""))
            sheet, cell = book.place(name)
            if "checks" not in parts:
                yield name, label, unit, sheet, cell, bool(parts) and "result" not in parts


def _lead(book: Book, page: Page, rules: Sequence[CheckRow]) -> None:
    """Where each check leads, and the order in which those that do not pass are told: what fails, then what waits."""
    page.heading("Where the checks lead", "for the first sheet")
    page.head_row(("Rule", "Sheet", "Cell", "Where it waits", "For", "State", "Order"), words=(0, 1, 2, 3, 4, 5))
    first = page.at
    state = get_column_letter(FIRST + 5)
    for number, rule in enumerate(rules, start=1):
        row = page.at
        sheet, place = _place(book, rule.value)
        above = f"{state}${first - 1}:{state}{row - 1}"
        denied = f'COUNTIF({above},"Fails")+COUNTIF({above},"Error")'
        order = f'=IF(OR({state}{row}="Fails",{state}{row}="Error"),{denied}+1,IF({state}{row}="Waits",checks_denied+COUNTIF({above},"Waits")+1,0))'
        blank = [name for name in _looked_at(book, f"={rule.value.removeprefix('=')}&({rule.limit.removeprefix('=') or 0})") if _is_blank(book, name)]
        lacks = _first_blank(blank, [book.labels[name][0] for name in blank], "")
        waits = _first_blank(blank, [_address(*book.place(name)) for name in blank], place)
        for offset, value in enumerate((rule.rule, sheet, place, waits, lacks, f"=INDEX(checks,{number},{STATE})", order)):
            page.put(row, FIRST + offset, value, font=look.SMALL, align=look.SHRUNK if offset < 6 else look.RIGHT)
        page.at += 1
    for offset, name in enumerate(_CHECKS):
        if name:
            page.name(name, first, FIRST + offset, page.at - 1)


def _place(book: Book, formula: str) -> tuple[str, str]:
    """The sheet and the address of the first named cell that a formula looks at; the Checks sheet where it looks at none."""
    name = next(iter(_names(_known(book), formula)), "")
    sheet, cell = book.place(name) if name else ("Checks", "A1")
    return sheet, _address(sheet, cell)


def _first_blank(names: Sequence[str], words: Sequence[str], otherwise: str) -> str:
    """A formula that gives the word of the first input that is blank."""
    formula = f'"{otherwise}"'
    for name, word in reversed([*zip(names, words, strict=True)]):
        formula = f'IF({name}="","{word}",{formula})'
    return f"={formula}" if names else otherwise


def _looked_at(book: Book, formula: str) -> list[str]:
    """The named cells that a formula looks at, and those that they look at in turn."""
    found: dict[str, None] = {}
    known = _known(book)
    left = _names(known, formula)
    while left:
        name = left.pop(0)
        if name not in found:
            found[name] = None
            value = _held(book, name)
            left += _names(known, value) if isinstance(value, str) and value.startswith("=") else []
    return list(found)


def _held(book: Book, name: str) -> object:
    """What the first cell of a name holds."""
    sheet, _, area = book.workbook.defined_names[name].attr_text.rpartition("!")
    return book.workbook[sheet.strip("'")][area.partition(":")[0].replace("$", "")].value


def _address(sheet: str, cell: str) -> str:
    return f"{quote_sheetname(sheet)}!{cell}"


def _names(known: Mapping[str, str], formula: str) -> list[str]:
    """The named cells that a formula calls, in order, of those known by their names without capitals."""
    found = [known.get(word.casefold(), "") for word in words_of(formula)]
    return [name for name in found if name and name != "units"]


def _known(book: Book) -> dict[str, str]:
    """The names of a workbook by themselves without capitals."""
    return {name.casefold(): name for name in book.workbook.defined_names}


def _is_blank(book: Book, name: str) -> bool:
    """Whether a named cell is an input that a job fills in: one that may not stay blank, or that the first sheet asks."""
    entry = book.workbook.defined_names[name]
    note = note_parts(entry.comment or "")[1]
    asked = "optional" not in note or entry.attr_text.startswith("Start!") or entry.attr_text.startswith("'Start'!")
    return bool(note) and name in book.labels and "result" not in note and asked and _held(book, name) is None

"""The sheet of checks: each a row that passes, fails with what to do, waits for an input, or is an error.

A page that promises what a rule can deny looks at the rule's state, by the name of its cell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.workbook.job.checks import NOT_ASKED
from stillbook.workbook.job.notes import CHECKS_NOTE

AT_MOST, AT_LEAST, EXACTLY = "{v}<={l}", "{v}>={l}", "{v}={l}"
"""Conditions on a value and its limit."""


@dataclass(frozen=True)
class CheckRow:
    """A rule: the value it looks at, the condition on it and its limit, and what to do when it fails."""

    rule: str
    value: str
    holds: str = "TRUE"
    limit: str = ""
    number_format: str = look.ONE
    advice: str = ""
    name: str = ""
    """The name of the cell of its state, where a page looks at it."""
    unit: str = ""
    """The unit of value and limit; empty where the rule says what is counted, or asks for a yes."""
    up_to: str = ""
    """Where its limit is the least, the most as well."""
    asked: str = ""
    """The condition on which a job has what the rule looks at; empty where every job has it."""

    def asked_where(self, condition: str) -> CheckRow:
        """The same rule for the jobs in which a condition holds; in others it is not asked, and counts for nothing."""
        return replace(self, asked=condition)

    @property
    def looked_at(self) -> str:
        """The formula of its value, empty where it is not asked; what it is asked by may be an error or wait as well."""
        return f'=IF({self.asked},{self.value.removeprefix("=")},"")' if self.asked else self.value

    def advising(self, advice: str) -> CheckRow:
        """The same rule with what to do when it fails."""
        return replace(self, advice=advice)

    def measured_in(self, unit: str) -> CheckRow:
        """The same rule with the unit of its value and its limit."""
        return replace(self, unit=unit)

    def named(self, name: str) -> CheckRow:
        """The same rule with a name for the cell of its state."""
        return replace(self, name=name)


RULE, STATE, ADVICE = "1", "COLUMNS(checks)-1", "COLUMNS(checks)"
"""Where rule, state and advice stand in a row of the block of checks, as formulas."""


def worst(*names: str) -> str:
    """The state of several named rules together, as a formula without its sign; empty where none of them is asked."""
    none = ",".join(f'{name}="{NOT_ASKED}"' for name in names)
    stands = f'IF(AND({none}),"","Passes")'
    for word in ("Waits", "Fails", "Error"):
        stands = f'IF(OR({",".join(f"{name}={chr(34)}{word}{chr(34)}" for name in names)}),"{word}",{stands})'
    return stands


def state(value: str, limit: str, holds: str, asked: str = "") -> str:
    """The formula of a state: what is blank or #N/A waits, any other error is one, whatever else is amiss.

    Where the condition ``asked`` does not hold there is none.
    """
    wrong = f"ISERR({value})" + (f",ISERR({limit})" if limit else "")
    waits = f"ISNA({value})" + (f",ISNA({limit})" if limit else "")
    blank = f'IF({limit}="","",{value})' if limit else value
    stands = f'IF(OR({wrong}),"Error",IF(OR({waits}),"Waits",IF({blank}="","Waits",IFERROR(IF({holds},"Passes","Fails"),"Error"))))'
    return f'=IF(IFERROR(NOT({asked}),FALSE),"{NOT_ASKED}",{stands})' if asked else f"={stands}"


def passes(*names: str) -> str:
    """Whether all of some named rules pass, as far as they are asked, as a condition of a formula."""
    return "AND(" + ",".join(f'OR({name}="Passes",{name}="{NOT_ASKED}")' for name in names) + ")"


def denies(*names: str) -> str:
    """Whether any of some named rules fails or is an error, as a condition of a formula."""
    return "OR(" + ",".join(f'{name}="Fails",{name}="Error"' for name in names) + ")"


def row_state(holds: str) -> str:
    """The formula of a state in one row of a schedule, without its sign."""
    return f'IF(ISERR({holds}),"Error",IFERROR(IF({holds},"Passes","Fails"),"Waits"))'


def write(book: Book, rules: Sequence[CheckRow]) -> Page:
    """Write the sheet: how many stand how, the rules with those that fail first, and below what is printed how each is worked out."""
    page = book.page("Checks", _PURPOSE, _WIDTHS, wide=True, scale=75)
    column = _Columns(page.at + len(_STANDS) + len(rules) + 6, len(rules))
    _counts(book, page, column.state)
    page.head_row(("Rule", "Is", "Has to be", "State", "What to do"), words=(0, 1, 2, 3, 4))
    head, first = page.at - 1, page.at
    for number in range(1, len(rules) + 1):
        stands = f"MOD(SMALL({column.order},{number}),{_GROUP})"
        judged = f"{get_column_letter(FIRST + 3)}{page.at}"
        failing = f'OR({judged}="Fails",{judged}="Error")'
        shown = [f"=INDEX({cells},{stands})" for cells in (column.rule, column.found, column.wanted, column.state)]
        page.row((*shown, f'=IF({failing},INDEX({column.advice},{stands}),"")'), ("text",) * 5)
        for offset in range(5):
            page.sheet.cell(page.at - 1, FIRST + offset).alignment = look.LEFT if offset == 0 else look.UNIT
        page.ink(page.at - 1, look.SMALL, first=FIRST + 4)
        page.sheet.row_dimensions[page.at - 1].height = _TALL if number <= _MOST_TALL else _LOW
    last, state_column = page.at - 1, FIRST + 3
    _denied(page, first, last, state_column)
    page.finish(last, head=head)
    _workings(book, page, rules, column)
    return page


def write_few(book: Book, rules: Sequence[CheckRow]) -> Page:
    """Write the sheet of a few rules, in their order, with a formula for value, limit and state alone."""
    page = book.page("Checks", _PURPOSE, (46, 10, 9, 9, 10, 9.5, 90.5), wide=True)
    first = page.at + len(_STANDS) + 2
    _counts(book, page, f"{get_column_letter(FIRST + 5)}{first}:{get_column_letter(FIRST + 5)}{first + len(rules) - 1}")
    page.head_row(("Rule", "Is", "", "Has to be", "Limit", "State", "What to do if it fails"), words=(0, 2, 3, 5, 6))
    for check in rules:
        value, limit = (f"{get_column_letter(FIRST + offset)}{page.at}" for offset in (1, 4))
        stands = state(value, limit if check.limit else "", check.holds.format(v=value, l=limit), check.asked)
        words = _sign(check) if check.limit and check.number_format != look.GENERAL else ""
        percent = check.number_format == look.PERCENT
        page.row(
            (check.rule, check.looked_at, "" if percent else check.unit, words, check.limit or None, stands, check.advice),
            ("text", check.number_format, "text", "text", check.number_format, "text", "text"),
            names=("", "", "", "", "", check.name, ""),
        )
    _denied(page, first, page.at - 1, FIRST + 5)
    book.name("checks", page, first, FIRST, last=f"${get_column_letter(page.last_column)}${page.at - 1}", comment=CHECKS_NOTE)
    page.finish(page.at - 1, head=first - 1)
    return page


def _denied(page: Page, first: int, last: int, state: int) -> None:
    """Fill rows whose cell in the column ``state`` says Fails or Error, and mark what that cell says."""
    at, end, add = get_column_letter(state), get_column_letter(page.last_column), page.sheet.conditional_formatting.add
    denied = f'OR(${at}{first}="Fails",${at}{first}="Error")'
    before, after = (f"{get_column_letter(FIRST)}{first}:{get_column_letter(state - 1)}{last}", f"{get_column_letter(state + 1)}{first}:{end}{last}")
    strong = FormulaRule(formula=[denied], font=Font(color=look.CAUTION_EDGE, bold=True), fill=look.MARKED_CAUTION)
    add(f"{at}{first}:{at}{last}", strong)
    for area in (before, after):
        add(area, FormulaRule(formula=[denied], fill=look.MARKED_CAUTION))
    quiet = f'OR(${at}{first}="Waits",${at}{first}="{NOT_ASKED}")'
    add(f"{at}{first}:{at}{last}", FormulaRule(formula=[quiet], font=Font(color=look.QUIET_INK)))


def _counts(book: Book, page: Page, states: str) -> None:
    """How many checks stand how, by the cells of their states."""
    for label, formula, name in _STANDS:
        page.put(page.at, FIRST, label, border=look.ROW)
        page.put(page.at, FIRST + 1, formula.format(states), number_format=look.WHOLE, border=look.ROW)
        book.name(name, page, page.at, FIRST + 1)
        page.at += 1
    page.skip()


_PURPOSE: Final = (
    "Each row passes, fails with what to do, waits for an input, or is an error; what the job does not have is not asked. A pass is not an approval: "
    "codes and engineers decide."
)
_WIDTHS: Final = (47, 15, 22, 9.5, 80.5)
_TALL, _LOW, _MOST_TALL = 26.0, 13.5, 6
"""Heights of rows in points: of the first few, in which a long advice may stand, and of the others."""

_STANDS: Final = (
    ("Checks that fail", '=COUNTIF({0},"Fails")', "checks_failed"),
    ("Checks in error: their formula is broken", '=COUNTIF({0},"Error")', "checks_in_error"),
    ("Checks that wait for an input", '=COUNTIF({0},"Waits")', "checks_waiting"),
    ("Checks that pass", '=COUNTIF({0},"Passes")', "checks_passed"),
    ("Checks that fail or are in error", "=checks_failed+checks_in_error", "checks_denied"),
)
"""How many checks stand how: what it says, its formula over the cells of states, and its name."""

_GROUP: Final = 1000
"""More than there are rules: a rule's place in the order is its number, after its state in groups of so many."""

_MOST_DIGITS: Final = 6
"""Digits after the point beyond which a difference is rounding."""


class _Columns:
    """The cells of the workings, each a column of all rules."""

    def __init__(self, first: int, count: int) -> None:
        self.first = first
        self.rule, self.value, self.limit, self.order, self.found, self.wanted, self.state, self.advice = (
            f"${letter}${first}:${letter}${first + count - 1}" for letter in map(get_column_letter, range(FIRST, FIRST + 8))
        )


def _workings(book: Book, page: Page, rules: Sequence[CheckRow], column: _Columns) -> None:
    """The rules in the order of the sheets they look at, with their values as numbers."""
    page.at = column.first - 2
    page.put(page.at, FIRST, "How each is worked out, in the order of the sheets they look at", font=look.HEADING).alignment = look.UNWRAPPED
    page.at += 1
    titles = ("Rule", "Value", "Limit", "Order", "Is", "Has to be", "State", "What to do")
    for offset, title in enumerate(titles):
        page.put(page.at, FIRST + offset, title, font=look.STRONG, border=look.HEAD_ROW, fill=look.HEAD)
    page.at += 1
    for number, check in enumerate(rules, start=1):
        row = page.at
        value, limit, state_at = (f"{get_column_letter(FIRST + offset)}{row}" for offset in (1, 2, 6))
        stands = state(value, limit if check.limit else "", check.holds.format(v=value, l=limit), check.asked)
        order = f'=IF({state_at}="Fails",1,IF({state_at}="Error",2,IF({state_at}="Waits",3,IF({state_at}="{NOT_ASKED}",5,4))))*{_GROUP}+{number}'
        digits = _digits(check, value, limit, state_at)
        for offset, (entry, number_format) in enumerate(
            (
                (check.rule, None),
                (check.looked_at, check.number_format),
                (check.limit or None, check.number_format),
                (order, look.WHOLE),
                ("=" + _said(check, value, digits), None),
                ("=" + _if_asked(check, state_at, _wanted(check, limit, digits)), None),
                (stands, None),
                (check.advice, None),
            )
        ):
            page.put(row, FIRST + offset, entry, font=look.SMALL, number_format=number_format, align=look.UNWRAPPED if number_format is None else look.RIGHT)
        if check.name:
            book.name(check.name, page, row, FIRST + 6)
        page.at += 1
    book.name("checks", page, column.first, FIRST, last=f"${get_column_letter(FIRST + 7)}${page.at - 1}", comment=CHECKS_NOTE)


def _digits(check: CheckRow, value: str, limit: str, state_at: str) -> str:
    """Digits after the point: the usual ones, or in a check that fails one more than tell the value from its limit."""
    usual = check.number_format.partition(".")[2].count("0")
    if not check.limit:
        return str(usual)
    each = "*100" if check.number_format == look.PERCENT else ""
    apart = f"ABS({value}-{limit}){each}"
    more = f"MAX({usual},MIN({_MOST_DIGITS},1-INT(ROUND(LOG10({apart}),6))))"
    return f'IF(AND({state_at}="Fails",ISNUMBER({value}),ISNUMBER({limit})),IFERROR({more},{usual}),{usual})'


def _if_asked(check: CheckRow, state_at: str, words: str) -> str:
    """Words about a rule, which say nothing where it is not asked."""
    return f'IF({state_at}="{NOT_ASKED}","",{words})' if check.asked else words


def _said(check: CheckRow, cell: str, digits: str) -> str:
    """A value in words with its unit; nothing where it is not known."""
    percent = check.number_format == look.PERCENT
    number = f"FIXED({cell}{'*100' if percent else ''},{digits})"
    if check.unit in _BEFORE:
        number = f'"{check.unit} "&{number}'
    elif check.unit:
        number = f'{number}&"{"" if percent else " "}{check.unit}"'
    return f'IF(ISERROR({cell}),"",IF(ISNUMBER({cell}),{number},{cell}&""))'


_BEFORE: Final = ("NC", "STC", "SPC")
"""Ratings, whose name stands before the number."""


def _wanted(check: CheckRow, limit: str, digits: str) -> str:
    """The limit in words; nothing where there is none or it is not known."""
    if not check.limit:
        return '""'
    said = f'"{_sign(check)} "&{_said(check, limit, digits)}'
    if check.up_to:
        said += f'&" to {check.up_to} {check.unit}"'
    return f'IF(ISERROR({limit}),"",IF({limit}="","",IF(ISNUMBER({limit}),{said},{limit})))'


def _sign(check: CheckRow) -> str:
    """What stands between a value and its limit, in words."""
    return "from" if check.up_to else next(words for sign, words in _WORDS.items() if sign in check.holds)


_WORDS: Final = {"}<=": "at most", "}>=": "at least", "}<": "less than", "}>": "more than", "}=": "exactly"}
"""What a sign between a value and its limit means."""

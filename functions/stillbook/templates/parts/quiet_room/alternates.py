"""Allowances, alternates and revisions: their tables on the Inputs sheet, their prices, and what other sheets say of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import closed, said
from stillbook.templates.parts.quiet_room import options
from stillbook.templates.parts.said import Said
from stillbook.templates.parts.table import Column, Table
from stillbook.workbook.job.inputs import InputSpec

ALLOWANCES: Final = 4
ALTERNATES: Final = 4
REVISIONS: Final = 6

INCLUDED: Final = 16
BY_OTHERS: Final = 6
"""Lines that the proposal has place for, as included and as done by others."""

LONGEST: Final = 60
"""Characters that describe a row, so that it stands in one line of a page."""

_MOST: Final = 999_999
_MONEY: Final = '#,##0.00;-#,##0.00;""'
_MARK: Final = '"–"'

# --- what is typed ----------------------------------------------------------------------------------------------------


def ask(book: Book, page: Page) -> None:
    """Write the tables on the Inputs sheet."""
    closed.table(
        page,
        ("Allowances", "sums in the price for what is not chosen yet; at cost, before overhead"),
        ("What for", "Amount"),
        ("allowance_words", "allowance_amounts"),
        [
            (
                _text(book, f"allowance_for_{n}", f"Allowance {n}, what for", "What the sum is for; the client reads it."),
                _money(book, f"allowance_amount_{n}", f"Allowance {n}, amount", "Cost allowed; the client reads it.", 0),
            )
            for n in range(1, ALLOWANCES + 1)
        ],
    )
    closed.table(
        page,
        ("Alternates", "changes the client may choose; a deduction has a minus"),
        ("What changes", "Direct cost", "Accepted"),
        ("alternate_words", "alternate_costs", "alternate_choices"),
        [
            (
                _text(book, f"alternate_text_{n}", f"Alternate {n}, what changes", "The client reads it."),
                _money(book, f"alternate_cost_{n}", f"Alternate {n}, direct cost", "Material and labour added, or with a minus deducted.", -_MOST),
                book.input(f"alternate_accepted_{n}", f"Alternate {n}, accepted", choices=("yes", "no"), optional=True, one_job=True).saying(
                    "yes puts it in the total; blank is no."
                ),
            )
            for n in range(1, ALTERNATES + 1)
        ],
    )
    closed.table(
        page,
        ("Revisions", "the last row filled in is the latest; clients and contractors read its number and date"),
        ("What changed", "By", "No.", "Date"),
        ("revision_changes", "revision_authors", "revision_numbers", "revision_dates"),
        [
            (
                _text(book, f"revision_change_{n}", f"Revision {n}, what changed", "For the office; no copy shows it."),
                _text(book, f"revision_by_{n}", f"Revision {n}, by", "For the office.", 30),
                _text(book, f"revision_number_{n}", f"Revision {n}, number", "Its number or letter.", 8),
                book.input(f"revision_date_{n}", f"Revision {n}, date", "date", optional=True, one_job=True).saying("Its day."),
            )
            for n in range(1, REVISIONS + 1)
        ],
    )


def _text(book: Book, name: str, label: str, text: str, longest: int = LONGEST) -> InputSpec:
    return book.input(name, label, "text", optional=True, one_job=True, longest=longest).saying(text)


def _money(book: Book, name: str, label: str, text: str, least: float) -> InputSpec:
    return book.input(name, label, "", None, least, _MOST, look.PRICE, optional=True, one_job=True).saying(text)


# --- what it comes to -------------------------------------------------------------------------------------------------


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Alternates",
        "For the office only: what each allowance and alternate on the Inputs sheet does to the price. Not printed: the Job price sheet holds "
        "their sums, the Proposal what each comes to.",
        (6, 46, 13, 12, 13, 12, 12, 13, 12, 13, 10),
        title="Allowances and alternates",
        wide=True,
    )
    _sums(book, page)
    _revision(page)
    options.keep(page, ALTERNATES)
    _lines(page, "head", "What the Proposal says in its head", _head_lines())
    _lines(page, "proposal", "What the Proposal says under its price", _proposal_lines())
    _lines(page, "scope", "What the Scope says under what is built", _scope_lines())
    page.finish()
    page.never_print()
    return page


def _sums(book: Book, page: Page) -> None:
    """Each allowance and alternate through the steps of the Job price sheet."""
    page.heading("Through the steps of the Job price sheet", book.currency + " as on the Unit costs sheet")
    amounts = {f"allowance_for_{n}": (f"allowance_amount_{n}", '"yes"') for n in range(1, ALLOWANCES + 1)}
    _part(page, "allowance", ("Allowance", "In the price", "Counts"), amounts, ("Allowances", "allowances_total"))
    page.skip()
    accepted = 'IF(AND(alternate_accepted_{0}="yes",ISNUMBER(alternate_cost_{0})),"yes","no")'
    amounts = {f"alternate_text_{n}": (f"alternate_cost_{n}", accepted.format(n)) for n in range(1, ALTERNATES + 1)}
    _part(page, "alternate", ("Alternate", "Adds", "Accepted"), amounts, ("Accepted alternates", "alternates_accepted"))
    page.note(
        "Steps as for the whole job: overhead, contingency on both, the client's level, margin as a share of the price, tax. An allowance is "
        "told to the client as the cost typed; overhead and margin on it stay when the choice costs more or less."
    )
    page.skip()


def _part(page: Page, kind: str, titles: tuple[str, str, str], rows: Mapping[str, tuple[str, str]], total: tuple[str, str]) -> None:
    """Rows of sums and their total: by the name of the words of each row, its cost and whether it counts."""
    whole = "SUM({cost}:{level})"
    table = Table(
        page,
        (
            Column("No.", key="number", name=f"{kind}_numbers", number_format=said.NUMBER),
            Column(titles[0], key="text", name=f"{kind}_texts", words=True),
            Column("Direct cost", key="cost", number_format=_MONEY),
            Column("Overhead", "ROUND({cost}*overhead,2)", key="overhead", number_format=_MONEY),
            Column("Contingency", "ROUND(SUM({cost}:{overhead})*contingency,2)", key="contingency", number_format=_MONEY),
            Column("Client level", "ROUND(SUM({cost}:{contingency})*level_markup,2)", key="level", number_format=_MONEY),
            Column("Margin", f"{{before}}-{whole}", key="margin", number_format=_MONEY),
            Column("Before tax", f"SIGN({whole})*ROUND(STILL_PRICEFROMMARGIN(ABS({whole}),margin),2)", key="before", number_format=_MONEY),
            Column("Tax", "ROUND({before}*tax,2)", key="tax", number_format=_MONEY),
            Column(titles[1], "{before}+{tax}", key="price", name=f"{kind}_prices", number_format=_MONEY),
            Column(titles[2], key="counts", name=f"{kind}_counts", words=True),
        ),
    )
    table.head()
    for words, (cost, counts) in rows.items():
        row = table.row(
            f'=IF(AND({words}="",N({cost})=0),0,MAX({{above}})+1)',
            f'=IF({{number}}=0,"",IF({words}="","(not named)",{words}))',
            f"=ROUND(N({cost}),2)",
            f'=IF({{number}}=0,"",{counts})',
        )
        _quiet_number(page, row)
    table.name()
    counted = ":".join(f"${cell}" for cell in table.cells("counts").split(":"))
    money = [column.called for column in table.columns if column.number_format == _MONEY]
    sums: dict[str, Any] = {key: f'=SUMIF({counted},"yes",{table.cells(key)})' for key in money}
    label, name = total
    table.row(None, label, None, number_format=look.PRICE, strong=True, border=look.TOTAL_ROW, names={"cost": name}, **sums)


def _quiet_number(page: Page, row: int) -> None:
    """The number of a row at the left, its words in one line."""
    page.sheet.cell(row, FIRST).alignment = look.LEFT
    page.sheet.cell(row, FIRST + 1).alignment = look.SHRUNK_UNIT


def _revision(page: Page) -> None:
    """The latest revision, and what is left unfinished on the Inputs sheet."""
    page.heading("Revision, and rows left unfinished")
    latest = "0"
    for number in range(1, REVISIONS + 1):
        latest = f'IF(revision_number_{number}="",{latest},{number})'
    told = '=IF(revision="","",", revision "&revision&IF(revision_date=0,""," of "&TEXT(revision_date,"yyyy-mm-dd")))'
    known = '(revision_numbers<>"")*(revision_dates<>0)*(revision_changes<>"")'
    some = '(revision_numbers<>"")+(revision_dates<>0)+(revision_changes<>"")'
    for label, formula, name, number_format in (
        ("Row of the latest revision", f"={latest}", "revision_row", look.WHOLE),
        ("Its number", '=IF(revision_row=0,"",INDEX(revision_numbers,revision_row))', "revision", look.GENERAL),
        ("Its date", "=IF(revision_row=0,0,N(INDEX(revision_dates,revision_row)))", "revision_date", 'yyyy-mm-dd;;""'),
        ("What follows the date on other sheets", told, "revision_words", look.GENERAL),
        (
            "Allowances and alternates not filled in whole",
            '=SUMPRODUCT(((allowance_words<>"")<>(allowance_amounts<>0))*1)+COUNTIF(allowance_amounts,"<0")'
            "+COUNTA(allowance_amounts)-COUNT(allowance_amounts)+COUNTA(alternate_costs)-COUNT(alternate_costs)"
            '+SUMPRODUCT((alternate_words="")*(((alternate_costs<>0)+(alternate_choices="yes"))>0))'
            '+SUMPRODUCT((alternate_words<>"")*(alternate_costs=""))',
            "unfinished_sums",
            look.WHOLE,
        ),
        ("Revisions not filled in whole", f"=SUMPRODUCT((({some})>0)*(({known})=0))", "unfinished_revisions", look.WHOLE),
    ):
        row = page.row((None, label, formula), ("", "text", number_format), names=("", "", name))
        page.sheet.cell(row, FIRST + 2).alignment = look.UNWRAPPED
    page.skip()


# --- what other sheets say of it --------------------------------------------------------------------------------------


def _head_lines() -> list[Said]:
    """What the client reads at the head: a label in place of words, and what it stands for at the end."""
    until = 'IF(N(estimate_date)=0,valid_days&" days from its date",TEXT(estimate_date+valid_days,"yyyy-mm-dd"))'
    return [
        Said("TRUE", '"For"', 'IF(client="","(client not filled in)",client)'),
        Said('client_address<>""', '"Address"', "client_address"),
        Said("TRUE", '"Project"', 'IF(project="","(project not filled in)",project)'),
        Said("TRUE", '"Date"', 'IF(N(estimate_date)=0,"(date not filled in)",TEXT(estimate_date,"yyyy-mm-dd"))&revision_words'),
        Said("TRUE", '"Valid until"', until),
        Said('reference<>""', '"Reference"', "reference"),
        Said('prepared_by<>""', '"Prepared by"', "prepared_by"),
    ]


def _proposal_lines() -> list[Said]:
    amount = 'IF({0}>0,TEXT({0},IF(MOD({0},1)=0,"#,##0","#,##0.00"))&" "&currency,"(amount not filled in)")'
    return [
        Said("MAX(allowance_numbers)>0", '"Allowances in the price; any difference is settled at cost:"'),
        *(
            Said(f"INDEX(allowance_numbers,{n})>0", f'{_MARK}&" "&INDEX(allowance_texts,{n})', amount.format(f"N(INDEX(allowance_amounts,{n}))"))
            for n in range(1, ALLOWANCES + 1)
        ),
        *_told("told_included", '"Also included in the price:"', INCLUDED),
        *_told("told_by_others", '"Not included, done by others:"', BY_OTHERS),
    ]


def _scope_lines() -> list[Said]:
    later = '"Chosen later, with a sum for it in our price. Please do not price it:"'
    changed = '"Changed: price it in lines of your own, or say what it saves:"'
    allowances = (Said(f"INDEX(allowance_numbers,{n})>0", f'{_MARK}&" "&INDEX(allowance_texts,{n})') for n in range(1, ALLOWANCES + 1))
    alternates = (Said(f'INDEX(alternate_counts,{n})="yes"', f'{_MARK}&" "&INDEX(alternate_texts,{n})') for n in range(1, ALTERNATES + 1))
    accepted = Said('COUNTIF(alternate_counts,"yes")>0', changed)
    others = _told("told_by_others", '"Done by others. Please do not price it:"', BY_OTHERS)
    return [Said("MAX(allowance_numbers)>0", later), *allowances, accepted, *alternates, *others]


def _told(numbers: str, title: str, count: int) -> list[Said]:
    """A heading, and the lines told under it, two in a row."""

    def text(number: int) -> str:
        return f"INDEX(told_texts,MATCH({number},{numbers},0))"

    rows = [Said(f"MAX({numbers})>={first}", f'{_MARK}&" "&{text(first)}&IF(MAX({numbers})>{first},"; "&{text(first + 1)},"")') for first in range(1, count, 2)]
    return [Said(f"MAX({numbers})>0", title), *rows]


def _lines(page: Page, sheet: str, title: str, lines: Sequence[Said]) -> None:
    """The lines that may stand on a sheet, numbered as they come to stand there."""
    page.heading(title, "lines without a number do not show")
    words, number, amount = said.columns(sheet)
    table = Table(page, (number, words, *[Column("")] * 7, amount, Column("")))
    for line in lines:
        row = said.keep(table, line, *[None] * 8)
        _quiet_number(page, row)
        page.merge(row, FIRST + 1, table.places["amount"] - 1)
        page.merge(row, table.places["amount"])
    table.name()
    page.skip()


HEAD_ROWS: Final = len(_head_lines())
PROPOSAL_ROWS: Final = len(_proposal_lines())
SCOPE_ROWS: Final = len(_scope_lines())
"""The most lines that the proposal's head, the proposal under its price, and the scope have."""

"""Own lines: lines that no template foresaw, assemblies chosen as lines, and lines of the take-off that are switched off.

What is typed here is taken off, priced, proposed and asked for row by row, in as many places as :data:`PLACES`; more
rows than were written come by inserting them above the one that closes the table.
"""

from __future__ import annotations

from functools import partial
from typing import Any, Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.priced_lines import COST, HOURS, LABOUR, first_of, labour_faults, on, priced_faults
from stillbook.templates.parts.schedule import Place, Schedule, Typed, typed, widths

ROWS: Final = 20
"""Rows to type in."""

OPEN: Final = 4
"""Of them, those that are seen before the outline is opened."""

SEEN: Final = 6
"""Lines seen where they are taken up, before an outline is opened."""

PLACES: Final = 25
"""Rows of the sheets that take these lines up: five more may be inserted."""

SWITCHED: Final = 10
"""Lines that can be switched off."""

OFFICE, CONTRACTOR, CLIENT, BOTH = "office", "contractor", "client", "client and contractor"
"""Who sees a line."""

OTHERS: Final = "by others"
"""What is said of work that somebody else does: it has no price, and stands among what is not included."""

LONGEST: Final = 46
"""Characters of a description, so that two of them stand beside each other on the proposal."""

_MOST: Final = 999_999


def write(book: Book) -> Page:
    """Write the sheet."""
    columns = _columns(book)
    page = book.page(
        "Own lines",
        "What this job needs and no other sheet counts, assemblies chosen by their code, and lines that are switched off. Not printed: the Take-off and the "
        "Job price sheet say what counts of it.",
        widths(columns),
        wide=True,
    )
    page.heading("Lines of your own", "a quantity may be a formula of yours, such as =2*room_length")
    _lines(book, page, columns)
    _switched_off(book, page)
    page.finish(page.at - 1)
    page.never_print()
    # Rows are inserted here, and the outline is opened: a protected sheet refuses both.
    page.sheet.protection.sheet = False
    return page


def _columns(book: Book) -> tuple[Typed, ...]:
    money = book.currency
    text: dict[str, Any] = {"words": True, "one_job": True}
    return (
        typed(book, "Code", "own_codes", 16, options="assembly_codes", free=True, **text).saying(
            "Of the Unit costs sheet, of an assembly, or one of yours; may be blank."
        ),
        typed(book, "Description", "own_texts", 44, longest=LONGEST, **text).saying("Blank takes that of the code."),
        typed(book, "Quantity", "own_quantities", 11, "", 0, _MOST, look.TWO, one_job=True).saying("A number, or a formula on names of this workbook."),
        typed(book, "Unit", "own_units", 8, longest=12, **text).saying("Blank takes that of the code."),
        typed(book, f"Unit cost, {money}", "own_costs", 11, "", 0, _MOST, look.PRICE, one_job=True).saying(
            "Of your own code alone; 0 where there is work alone."
        ),
        typed(book, "Hours each", "own_hours", 9, "", 0, 10_000, look.TWO, one_job=True).saying("Of work in one unit, of your own code alone."),
        typed(book, "Trade", "own_trades", 10, options="labour_trades", **text).saying("Whose hour it is."),
        typed(book, "Seen by", "own_readers", 20, choices=(OFFICE, CONTRACTOR, CLIENT, BOTH), one_job=True, words=True).saying(
            "On the proposal, on the scope; blank is the office."
        ),
        typed(book, "Done", "own_doers", 11, choices=("by us", OTHERS), one_job=True, words=True).saying(
            "By others has no price, and is said not to be included."
        ),
        typed(book, "Off because", "own_off", 24, longest=40, **text).saying("A reason takes the line out of price and scope."),
    )


def _lines(book: Book, page: Page, columns: tuple[Typed, ...]) -> None:
    schedule = Schedule(book, ROWS + 1, settable=True)
    first = schedule.write(page, columns)
    last = page.at - 1
    for column in range(FIRST, FIRST + len(columns)):
        page.put(last, column, '=""', font=look.QUIET, border=look.UNDER_HEADING).fill = look.HEAD
        page.sheet.cell(last, column).protection = look.LOCKED
    page.sheet.row_dimensions[last].height = 6
    close_outline(page, first + OPEN, last - 1)
    page.note(
        f"Rows {OPEN + 1} to {ROWS} are in the outline at the left. More: insert rows above the thin grey one, up to {PLACES} in all. A code of the "
        "Unit costs sheet or of an assembly brings unit, cost, hours and trade; any other has them here."
    )
    page.skip()


def close_outline(page: Page, first: int, last: int) -> None:
    """Put rows in an outline that is closed, with its handle at the row above them."""
    page.sheet.sheet_properties.outlinePr.summaryBelow = False
    for row in range(first, last + 1):
        page.sheet.row_dimensions[row].outlineLevel = 1
        page.sheet.row_dimensions[row].hidden = True
    page.sheet.row_dimensions[first - 1].collapsed = True


def close_further(page: Page, first: int, last: int, column: int) -> None:
    """Put lines taken up in these rows, but for those seen, in a closed outline, and say below how many are in use, by a column."""
    place, further = get_column_letter(column), first + SEEN
    close_outline(page, further, last)
    used = f'COUNTIF({place}{further}:{place}{last},"?*")'
    told = f'=IF({used}=0,"",{used}&" more of your own in the outline at the left: take the protection off, which has no password, and open it.")'
    page.put(last + 1, FIRST, told, font=look.QUIET).alignment = look.UNWRAPPED
    page.merge(last + 1, FIRST, page.last_printed)


def _switched_off(book: Book, page: Page) -> None:
    """The lines of the take-off that this job does without, each with its reason."""
    page.heading("Lines switched off", "of the take-off: the quantity stays, price and scope go without")
    columns = (
        typed(book, "Line", "off_lines", 60, options="takeoff_texts", free=True, words=True, one_job=True).saying("As the Take-off sheet names it."),
        typed(book, "Reason", "off_reasons", 60, words=True, one_job=True, longest=40).saying("Why; the Job price sheet and the comparison tell it."),
    )
    spots = ((FIRST, FIRST + 1), (FIRST + 2, FIRST + 6))
    for column, (start, end) in zip(columns, spots, strict=True):
        page.put(page.at, start, column.spec.label, font=look.STRONG, align=look.LEFT)
        for at in range(start, end + 1):
            cell = page.sheet.cell(page.at, at)
            cell.border, cell.fill = look.HEAD_ROW, look.HEAD
    page.at += 1
    schedule = Schedule(book, SWITCHED, settable=True)
    for column, (start, end) in zip(columns, spots, strict=True):
        schedule.typed_column(page, column, Place(page, start, page.at), end)
    page.at += SWITCHED
    page.note("A line without a reason, or whose name is not found, stays in the price and fails its check.")


# --- where they are taken up ------------------------------------------------------------------------------------------

CODE: Final = 'IF({k}>ROWS(own_codes),"",INDEX(own_codes,{k})&"")'
TEXT: Final = (
    'IF({k}>ROWS(own_texts),"",IF(INDEX(own_texts,{k})<>"",INDEX(own_texts,{k})&"",IF({code}="","",'
    "IFERROR(INDEX(price_texts,MATCH({code},price_codes,0)),IFERROR(INDEX(assembly_texts,MATCH({code},assembly_codes,0)),{code})))))"
)
QUANTITY: Final = 'IF({text}="",0,N(INDEX(own_quantities,{k})))'
UNIT: Final = (
    'IF({text}="","",IF(INDEX(own_units,{k})<>"",INDEX(own_units,{k})&"",'
    'IFERROR(INDEX(price_units,MATCH({code},price_codes,0)),IFERROR(INDEX(assembly_units,MATCH({code},assembly_codes,0)),""))))'
)
OFF: Final = f'IF({{text}}="","",IF(INDEX(own_doers,{{k}})="{OTHERS}","{OTHERS}",INDEX(own_off,{{k}})&""))'
"""The cells of a line on the Take-off sheet; ``{k}`` is its row among those that are typed."""

_PRICED: Final = "{place}>0"
_MADE_UP: Final = 'IF({code}="",FALSE,ISNUMBER(MATCH({code},assembly_codes,0)))'
_ASSEMBLY: Final = "INDEX(assembly_{what},MATCH({{code}},assembly_codes,0))"


def _of(priced: str, made_up: str, typed_in: str) -> str:
    """A cell of a line: from the Unit costs sheet, from an assembly, or from what is typed."""
    return f'IF({{text}}="",0,IF({_PRICED},{priced},IF({_MADE_UP},{made_up},{typed_in})))'


def priced(k: int) -> dict[str, Any]:
    """The formulas of a line on the Job price sheet, by the column, where they are not those of every line."""
    labour = f"IF(ISNUMBER(MATCH({{trade}},labour_trades,0)),{LABOUR},0)"
    formulas = {
        "cost": _of(COST, _ASSEMBLY.format(what="materials"), "N(INDEX(own_costs,{k}))"),
        "trade": f'IF({{text}}="","",IF({_PRICED},INDEX(price_trades,{{place}})&"",IF(INDEX(own_trades,{{k}})<>"",INDEX(own_trades,{{k}})&"",'
        f'IF({_MADE_UP},{_ASSEMBLY.format(what="trades")}&"",""))))',
        "hours": f'IF({{off}}<>"",0,{_of(HOURS, "ROUND({quantity}*" + _ASSEMBLY.format(what="hours") + ",2)", "ROUND({quantity}*N(INDEX(own_hours,{k})),2)")})',
        "labour": f'IF({{off}}<>"",0,{_of(LABOUR, "ROUND({quantity}*" + _ASSEMBLY.format(what="labour") + ",2)", labour)})',
        "number": f'IF({{counts}}=0,0,IF(AND({{quantity}}>0,ISNUMBER(SEARCH("{CONTRACTOR}",INDEX(own_readers,{{k}})&""))),MAX({{above}})+1,0))',
        "fault": _fault(),
    }
    return {key: "=" + text.replace("{k}", str(k)) for key, text in formulas.items()}


def _fault() -> str:
    """What is to be mended in a line, and on which sheet; empty where nothing is."""
    hourly = "N(INDEX(own_hours,{k}))>0"
    here = partial(on, "Own lines")
    faults = (
        ("ISTEXT(INDEX(own_quantities,{k}))", here("quantity is text, not a number")),
        ("N({quantity})<=0", here("quantity no number over 0")),
        (f'AND(OR({_PRICED},{_MADE_UP}),INDEX(own_costs,{{k}})&INDEX(own_hours,{{k}})<>"")', here("its cost stands elsewhere")),
        (f'IF({_PRICED},AND(INDEX(own_units,{{k}})<>"",INDEX(own_units,{{k}})<>INDEX(price_units,{{place}})),FALSE)', here("unit not that of its code")),
    )
    typed_in = (
        ('AND({code}<>"",INDEX(own_costs,{k})="")', here("code not found, and no unit cost")),
        ("ISTEXT(INDEX(own_costs,{k}))", here("unit cost is text, not a number")),
        ("OR(NOT(ISNUMBER(INDEX(own_costs,{k}))),N(INDEX(own_costs,{k}))<0)", here("unit cost no number")),
        ("ISTEXT(INDEX(own_hours,{k}))", here("hours are text, not a number")),
        (f"AND(N(INDEX(own_costs,{{k}}))=0,NOT({hourly}))", here("neither cost nor hours")),
        ('{unit}=""', here("no unit")),
        *((f"IF({hourly},{when},FALSE)", words) for when, words in labour_faults("{trade}", "Own lines")),
    )
    made_up = _ASSEMBLY.format(what="faults")
    of_parts = f'IF({made_up}="","","Assemblies: "&{made_up})'
    priced = f"IF({_PRICED},{priced_faults()},IF({_MADE_UP},{of_parts},{first_of(typed_in)}))"
    return f'IF({{text}}="","",IF({{off}}<>"","",{first_of(faults, priced)}))'

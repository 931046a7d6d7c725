"""Start: what the job is, where it stands, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from stillbook.quantities import AIRFLOW, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import front

SHEETS = (
    ("Inputs", "Everything you type: sizes, build-ups, people, doors, ducts, waste, margins."),
    ("Shell", "What each leaf weighs, how thick the shell is, what it puts on the floor."),
    ("Doors", "A pair or one heavy door, its least mass, and ways to reach it."),
    ("Isolation", "Transmission loss by band, ratings with their range, what would do better."),
    ("Room", "What the surfaces inside absorb, reverberation, treatment, modes, floor left."),
    ("Air", "Airflow for the people, CO2 over the day, heat, minutes left when the fan stops."),
    ("Ducts", "Sizes that keep the air quiet, and outside sizes."),
    ("Air path", "Both ways of the air: pressure, sound by octave against the target, the fans, the baffle boxes."),
    ("Wiring", "Circuit load, cable holes, boxes and panels, and what they leak."),
    ("Take-off", "Quantities with waste, in what is sold."),
    ("Price", "Cost by line and by trade, and the steps to the price."),
    ("Alternates", "Allowances, alternates and revisions, and what the other sheets say of them."),
    ("Prices", "Unit costs, rates of work and labour rates: your own figures."),
    ("Proposal", "The page for the client."),
    ("Scope", "The page for contractors: quantities to be priced, without prices."),
    ("Checks", "Each rule of the trade: passes, fails with what to do, waits, or is an error."),
)


PURPOSE = "An estimate of one quiet room built inside a larger space, from sizes to price."
SIZE = ("Outside size", '=TEXT(outside_length,"0.0")&" × "&TEXT(outside_width,"0.0")')


def write(book: Book, cautions: tuple[str, ...], purpose: str = PURPOSE, size: tuple[str, str] = SIZE, sheets: Sequence[tuple[str, str]] = SHEETS) -> Page:
    """Write the sheet, with the size that matters most in this template."""
    page = book.page("Start", purpose, (20, 20, 16, 20, 22), title=book.title, single=True)
    _job(page)
    _figures(book, page, size)
    page.heading("Cautions")
    for text in cautions:
        page.caution(text)
    page.skip()
    page.heading("Sheets")
    for sheet, text in sheets:
        row = page.at
        cell = page.put(row, FIRST, sheet, font=look.STRONG)
        cell.hyperlink = f"#'{sheet}'!A1"
        cell.font = look.STRONG
        page.put(row, FIRST + 1, text)
        page.sheet.merge_cells(start_row=row, start_column=FIRST + 1, end_row=row, end_column=page.last_column)
        page.at += 1
    page.skip()
    page.note(
        "Boxed cells are inputs; all other cells are locked, without a password. The figures on the Prices sheet are invented "
        "examples. Numbers keep their last calculated value where the formulas are not installed."
    )
    page.finish()
    return page


def _job(page: Page) -> None:
    for label, formula in (
        ("Client", '=IF(client="","not filled in",client)'),
        ("Project", '=IF(project="","not filled in",project)'),
        ("Reference", '=IF(reference="","",reference)'),
        ("Date", '=IF(N(estimate_date)=0,"not filled in",TEXT(estimate_date,"yyyy-mm-dd"))&revision_words'),
    ):
        row = page.at
        page.put(row, FIRST, label, font=look.QUIET)
        cell = page.put(row, FIRST + 1, formula)
        cell.alignment = look.LEFT
        page.sheet.merge_cells(start_row=row, start_column=FIRST + 1, end_row=row, end_column=page.last_column)
        page.at += 1
    page.skip()


def _figures(book: Book, page: Page, size: tuple[str, str]) -> None:
    """The few numbers one asks for first, large."""
    page.heading("Where it stands")
    large = book.unit(ROOM_LENGTH)
    flow = book.unit(AIRFLOW)
    figures = (
        ("Price, with tax", "=price", look.MONEY, "=currency"),
        (*size, look.GENERAL, large),
        ("Air", "=airflow", look.WHOLE, flow),
        ("Load on the floor", "=floor_load", look.WHOLE, book.unit(SURFACE_MASS)),
        (front.CHECKS.label, front.CHECKS.formula, look.GENERAL, ""),
    )
    for offset, (label, formula, number_format, unit) in enumerate(figures):
        column = FIRST + offset
        page.put(page.at, column, label, font=look.QUIET)
        cell = page.put(page.at + 1, column, formula, font=look.FIGURE, number_format=number_format)
        cell.alignment = look.LEFT
        unit_cell = page.put(page.at + 2, column, unit or None, font=look.QUIET)
        unit_cell.alignment = look.LEFT
    page.sheet.row_dimensions[page.at + 1].height = 30
    page.at += 4

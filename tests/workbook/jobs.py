"""Estimates for tests, small and quick: inputs, lines, prices, checks, and pages for readers outside."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Protection
from openpyxl.workbook.defined_name import DefinedName

from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.notes import CHECKS_NOTE, keep_note
from stillbook.workbook.job.results import ResultSpec
from workbook import books

PRICES = (("BOARD", "Gypsum board", "sheet", 19, "Shell", 2), ("STUD", "Stud", "piece", 5.2, "Shell", 7), ("DOOR", "Door slab", "piece", 210, "Doors", 0.5))  # fmt: skip
LABOUR = (("Shell", 62), ("Doors", 68))
QUANTITIES = {"BOARD": "=ROUNDUP(wall_area/32,0)", "STUD": "=ROUNDUP(wall_area/8,0)", "DOOR": "=doors"}
INPUTS = (
    InputSpec("client", "Name.", "text"),
    InputSpec("wall_area", "Walls.", "ft²", 1, 10000, 320),
    InputSpec("doors", "Doors.", "", 0, 9, 1, whole=True),
    InputSpec("margin", "Share of the price.", "share", 0, 0.9, 0.2),
    InputSpec("sent", "Day.", "date", optional=True),
)


def estimate(
    *,
    prices: tuple[tuple[Any, ...], ...] = PRICES,
    labour: tuple[tuple[Any, ...], ...] = LABOUR,
    quantities: Mapping[str, str] = QUANTITIES,
    inputs: tuple[InputSpec, ...] = INPUTS,
    spare: int = 2,
    costs: str = "Prices",
    price: str = "Price",
) -> Workbook:
    """A small estimate: 320 ft² of wall make 10 boards and 40 studs, and there is one door.

    ``quantities`` has a formula for each code of its lines; ``costs`` and ``price`` are the names of two of its sheets.
    """
    made = Workbook()
    page = made.active
    page.title = "Inputs"
    for row, spec in enumerate(inputs, start=1):
        page.cell(row, 1, spec.name)
        page.cell(row, 2, spec.default).protection = Protection(locked=False)
        keep_note(made, spec.name, f"Inputs!$B${row}", spec.comment())
    book = made.create_sheet(costs)
    for row, entry in enumerate((*prices, *[(None,) * 6] * spare), start=2):
        for column, value in enumerate(entry, start=1):
            book.cell(row, column, value).protection = Protection(locked=False)
    last = 1 + len(prices) + spare
    for letter, name in zip("ABCDEF", ("codes", "texts", "units", "costs", "trades", "rates"), strict=True):
        made.defined_names.add(DefinedName(f"price_{name}", attr_text=f"'{costs}'!${letter}$2:${letter}${last}"))
    for row, entry in enumerate(labour, start=2):
        book.cell(row, 9, entry[0])
        book.cell(row, 10, entry[1])
    for letter, name in (("I", "labour_trades"), ("J", "labour_rates")):
        made.defined_names.add(DefinedName(name, attr_text=f"'{costs}'!${letter}$2:${letter}${1 + len(labour)}"))
    _price(made, price, quantities)
    _checks(made)
    _scope(made, len(quantities))
    return made


def _price(made: Workbook, sheet: str, quantities: Mapping[str, str]) -> None:
    page = made.create_sheet(sheet)
    for row, (code, quantity) in enumerate(quantities.items(), start=2):
        found = f"MATCH(A{row},price_codes,0)"
        for column, value in enumerate(
            (
                code,
                f"=INDEX(price_texts,{found})",
                quantity,
                f"=INDEX(price_units,{found})",
                f"=INDEX(price_costs,{found})",
                f"=C{row}*E{row}",
                f"=C{row}/INDEX(price_rates,{found})*INDEX(labour_rates,MATCH(H{row},labour_trades,0))",
                f"=INDEX(price_trades,{found})",
                f"=F{row}+G{row}",
                1,
                f"=IF(C{row}>0,MAX(K$1:K{row - 1})+1,0)",
            ),
            start=1,
        ):
            page.cell(row, column, value)
    names = ("codes", "texts", "quantities", "units", "unit_costs", "material", "labour", "trade", "cost", "counts", "numbers")  # fmt: skip
    last = 1 + len(quantities)
    for letter, name in zip("ABCDEFGHIJK", names, strict=True):
        made.defined_names.add(DefinedName(f"line_{name}", attr_text=f"'{sheet}'!${letter}$2:${letter}${last}"))
    below = last + 5
    page[f"A{below}"], page[f"B{below}"] = "Price", f"=SUM(I2:I{last})/(1-margin)"
    keep_note(made, "price", f"'{sheet}'!$B${below}", ResultSpec("price", "Price", "USD").comment())


def _checks(made: Workbook) -> None:
    page = made.create_sheet("Checks")
    page["A1"], page["B1"], page["C1"] = "At most two doors", '=IF(doors<=2,"Passes","Fails")', "Take a door out."
    keep_note(made, "checks", "Checks!$A$1:$C$1", CHECKS_NOTE)


HEADINGS = ("No.", "Item", "Trade", "Quantity", "Unit", "Unit price", "Line total")


def _scope(made: Workbook, lines: int) -> None:
    """The page that contractors price, with two rows for lines of their own."""
    own = 6 + lines
    page = made.create_sheet("Scope")
    page["B1"], page["B2"] = "Contractor", "Remarks"
    page["C1"].protection = page["C2"].protection = Protection(locked=False)
    page.column_dimensions["B"].width = 40
    page["B3"], page["G3"] = "Sum of all lines", f"=SUM(G6:G{own + 1})"
    for column, heading in enumerate(HEADINGS, start=1):
        page.cell(5, column, heading)
    for place in range(1, lines + 1):
        row = 5 + place
        page.cell(row, 1, f'=IF({place}<=MAX(line_numbers),{place},"")')
        for column, name in ((2, "texts"), (3, "trade"), (4, "quantities"), (5, "units")):
            page.cell(row, column, f'=IF(A{row}="","",INDEX(line_{name},MATCH(A{row},line_numbers,0)))')
        page.cell(row, 6).protection = Protection(locked=False)
        page.cell(row, 7, f'=IF(A{row}="","",ROUND(N(D{row})*N(F{row}),2))')
    for place, row in ((1, own), (2, own + 1)):
        page.cell(row, 1, f"+{place}")
        for column in range(2, 7):
            page.cell(row, column).protection = Protection(locked=False)
        page.cell(row, 7, f"=ROUND(N(D{row})*N(F{row}),2)")
    page.defined_names.add(DefinedName("shown_to_contractor", attr_text=f"Scope!$A$1:$G${own + 1}"))


def saved(made: Workbook, path: Path, values: Mapping[str, Any] | None = None) -> Path:
    """Calculate a workbook with some inputs set, and save it."""
    path.write_bytes(books.saved(made))
    job = Job.open(path)
    job.set({"client": "Invented client", **(values or {})})
    job.save()
    return path

"""A small job with marked choices, whose price, isolation and level anyone can work out; an invented room."""

from __future__ import annotations

from collections.abc import Mapping
from math import log10, sqrt
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.notes import CHECKS_NOTE, keep_note
from stillbook.workbook.job.results import ResultSpec
from workbook import books

INPUTS = (
    InputSpec("client", "Name.", "text"),
    InputSpec("boards", "On each side.", "", 1, 6, 2, whole=True).trying(1, 2, 3, 4),
    InputSpec("gap", "Between the frames.", "in", 0.5, 12, 1).trying(1, 2, 4, 6),
    InputSpec("door", "Of the room.", "", default="single", choices=("pair", "single")).trying("pair", "single"),
    InputSpec("wool", "In the cavity.", "", default="no", choices=("yes", "no")).trying("yes", "no"),
    InputSpec("space", "What there is.", "in", 1, 100, None, optional=True),
    InputSpec("colour", "Of the door.", "text", optional=True),
)
PLACES = tuple(
    InputSpec(f"option_{what}_{place}", what.capitalize(), "text" if what in ("name", "change") else "", optional=True)
    for place in (1, 2, 3)
    for what in ("name", "price", "isolation", "level", "change")
)
"""Inputs that hold the options of an exploration."""

LABELS = ("Client", "Boards", "Gap", "Door", "Wool", "Space for the shell", "Colour")
FORMULAS = {
    "mass": '=boards*STILL_SURFACEMASS("Gypsum board 5/8 in type X")',
    "thick": "=2*boards*0.625+gap+7",
    "price": '=1000+140*boards+9*gap+IF(door="pair",260,90)+IF(wool="yes",75,0)',
    "stc": '=30+20*LOG10(mass)+3*SQRT(gap)+IF(door="pair",6,0)+IF(wool="yes",4,0)',
    "level": '=60-stc+COUNTIF(A2:A4,"x")-IF(boards>2,2,0)',
    "load": "=2*mass",
}
CHECKS = (
    ("Load on the floor", '=IF(load<=15,"Passes","Fails")', "Fewer boards."),
    ("The shell fits the space", '=IF(N(space)=0,"Waits",IF(thick<=space,"Passes","Fails"))', "A smaller gap."),
    ("A pair has room", '=IF(AND(door="pair",gap<2),"Fails","Passes")', "A larger gap."),
)
RESULTS = (("price", "Price", "USD", "least"), ("stc", "Room, STC", "", "most"), ("level", "Heard inside", "dB", "least"), ("load", "Load", "lb/ft²", ""))  # fmt: skip


def built(
    formulas: Mapping[str, Any] = FORMULAS,
    checks: tuple[tuple[str, str, str], ...] = CHECKS,
    inputs: tuple[InputSpec, ...] = INPUTS,
) -> Workbook:
    """The job, not calculated."""
    made = Workbook()
    page = made.active
    page.title = "Room"
    labels = (*LABELS, *(spec.help for spec in inputs[len(LABELS) :]))
    for row, (spec, label) in enumerate(zip(inputs, labels, strict=True), start=1):
        page.cell(row, 2, label)
        page.cell(row, 3, spec.default)
        keep_note(made, spec.name, f"Room!$C${row}", spec.comment())
    work = made.create_sheet("Work")
    notes = {name: ResultSpec(name, label, unit, best).comment() for name, label, unit, best in RESULTS}
    for row, (name, formula) in enumerate(formulas.items(), start=1):
        work.cell(row, 2, formula)
        keep_note(made, name, f"Work!$B${row}", notes.get(name, ""))
    # What no result depends on is not calculated again for a variant.
    work["D1"] = '="for "&client&": "&TEXT(price,"0")'
    rules = made.create_sheet("Checks")
    for row, check in enumerate(checks, start=1):
        for column, value in enumerate(check, start=1):
            rules.cell(row, column, value)
    keep_note(made, "checks", f"Checks!$A$1:$C${len(checks)}", CHECKS_NOTE)
    return made


def saved(path: Path, values: Mapping[str, Any] | None = None, **parts: Any) -> Path:
    """The job, calculated and saved with some inputs set."""
    path.write_bytes(books.saved(built(**parts)))
    job = Job.open(path)
    job.set({"client": "Invented client", **(values or {})})
    job.save()
    return path


BOARD = 2.2
"""Mass of the board by the table, lb/ft²."""


def by_hand(boards: float, gap: float, door: str, wool: str) -> tuple[float, float, float]:
    """Price, isolation and level of a variant, worked out beside the workbook."""
    mass = boards * BOARD
    price = 1000 + 140 * boards + 9 * gap + (260 if door == "pair" else 90) + (75 if wool == "yes" else 0)
    stc = 30 + 20 * log10(mass) + 3 * sqrt(gap) + (6 if door == "pair" else 0) + (4 if wool == "yes" else 0)
    return price, stc, 60 - stc - (2 if boards > 2 else 0)

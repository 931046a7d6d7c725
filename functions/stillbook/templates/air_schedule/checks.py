"""Checks: the rules of the trade over all rooms."""

from __future__ import annotations

from stillbook.quantities import PRESSURE
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import check_sheet, job_checks
from stillbook.templates.parts.check_sheet import AT_LEAST, AT_MOST, CheckRow
from stillbook.templates.parts.states import counted

_COUNTED = (
    ("Marks that stand twice", "mark_states", "Give each room a mark of its own."),
    ("Rooms with less air than their people need", "people_states", "Raise or clear the air chosen."),
    (
        "Rooms with less outdoor air than its table asks",
        "code_states",
        "More air, or a greater share from outdoors: the building's engineer and the local code decide.",
    ),
    ("Rooms above the CO2 to hold", "co2_states", "More air, fewer people, or shorter sessions with the door open between."),
    (
        "Rooms with too little time when the fan stops",
        "off_states",
        "Very little time to notice: alarm, and the door must open at once. Fewer people or a larger room.",
    ),
    ("Ducts faster than quiet", "speed_states", "Take a larger duct from the Ducts sheet."),
    ("Grilles faster than quiet", "grille_states", "Take a larger grille."),
    ("Rooms above the NC wanted", "nc_states", "More lined duct, a baffle box in the branch, a quieter fan."),
)
_DIFFERS = '=IF(one_row="","",MAX(MAX(one_differences),-MIN(one_differences),ABS(ROUND(one_branch_loss-INDEX(branch_losses,one_row),6))))'


def write(book: Book) -> Page:
    """Write the sheet."""
    loss = book.pick(look.THREE, look.ONE)
    return check_sheet.write(
        book,
        (
            *job_checks.job(),
            CheckRow("There is a room", "=room_count", AT_LEAST, "=1", look.WHOLE).advising("Write a mark on the Rooms sheet."),
            *counted(*_COUNTED),
            CheckRow("Fan against the pressure needed", "=fan_pressure_needed", AT_MOST, "=fan_pressure", loss)
            .measured_in(book.unit(PRESSURE))
            .advising("A stronger fan run slowly, larger ducts, or fewer elbows in the worst branch.")
            .named("check_fan"),
            CheckRow("One room: differs from the Noise and Ducts sheets by", _DIFFERS, AT_MOST, "=0", look.THREE).advising(
                "A formula was changed: take a new copy of the template."
            ),
        ),
    )

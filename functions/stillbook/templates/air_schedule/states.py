"""Row checks: what each room passes."""

from __future__ import annotations

from stillbook.templates.page import Book, Page
from stillbook.templates.parts.checks import row_state
from stillbook.templates.parts.schedule import Schedule, Worked


def _state(title: str, name: str, holds: str, width: float = 9) -> Worked:
    return Worked(title, row_state(holds), width, name, words=True, each=True, states=True)


_RULES = (
    ("mark_states", "Give it a mark of its own."),
    ("people_states", "Raise or clear the chosen air."),
    ("code_states", "Raise or clear the chosen air: the local code decides."),
    ("co2_states", "More air, fewer people or shorter sessions."),
    ("off_states", "Little time with the fan stopped: fewer people, and an alarm."),
    ("speed_states", "A larger duct."),
    ("grille_states", "A larger grille."),
    ("nc_states", "More lined duct, a baffle box, a quieter fan."),
)
_FAST = "quiet_speed*1.0000001"


def _columns() -> tuple[Worked, ...]:
    names = [name for name, _ in _RULES]
    wrong, waits, fails = ("+".join(f'({name}="{word}")' for name in names) for word in ("Error", "Waits", "Fails"))
    advice = "&".join(f'IF({{{name}}}="Fails","{text} ","")' for name, text in _RULES)
    return (
        Worked("Mark", "rooms", 7, words=True),
        Worked("Mark, once", 'IF(COUNTIF(rooms,{rooms})>1,"Fails","Passes")', 9, "mark_states", words=True, each=True, states=True),
        _state("Air, people", "people_states", "{airflows}>={airflows_people}"),
        _state("Air, table", "code_states", "{airflows}>={airflows_code}"),
        _state("CO2", "co2_states", "{co2_ends}<=co2_limit"),
        _state("Fan stopped", "off_states", "{fan_off_minutes}>=least_minutes", 10),
        _state("Speed, duct", "speed_states", "{duct_speeds}<=" + _FAST),
        _state("Speed, grille", "grille_states", "{grille_speeds}<=" + _FAST),
        _state("NC", "nc_states", 'IF({nc_wanted}="",{nc_heard}>0,{nc_heard}<={nc_wanted})'),
        Worked("State", f'IF({wrong},"Error",IF({waits},"Waits",IF({fails},"Fails","Passes")))', 9, "row_states", words=True, states=True, strong=True),
        Worked(
            "What to do",
            f'IF({{row_states}}="Passes","",IF({{row_states}}="Waits","An input of this row is missing.",'
            f'IF({{row_states}}="Error","A cell of this row is an error, which has a reason.",{advice})))',
            70,
            words=True,
            each=True,
        ),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    return schedule.page("Row checks", "Each room against the limits on the Inputs sheet and the NC wanted of it. A pass is not an approval.", _columns())

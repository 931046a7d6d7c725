"""Row checks: what each room passes."""

from __future__ import annotations

from typing import Final

from stillbook.templates.calls import out_of_range
from stillbook.templates.page import Page
from stillbook.templates.parts import states
from stillbook.templates.parts.schedule import Schedule
from stillbook.templates.parts.states import RowRule, holds

_FAST: Final = "quiet_speed*1.0000001"
_CO2: Final = f"IF({out_of_range('{co2_ends}')},FALSE,{{co2_ends}}<=co2_limit)"
_STATES: Final = (
    RowRule("Mark, once", "mark_states", 'IF(COUNTIF(rooms,{rooms})>1,"Fails","Passes")', "Give it a mark of its own.", 9),
    RowRule("Air, people", "people_states", holds("{airflows}>={airflows_people}"), "Raise or clear the chosen air.", 9),
    RowRule(
        "Air, table", "code_states", holds("{airflows}*fresh_share>={airflows_code}"), "More air, or a greater share from outdoors: the local code decides.", 9
    ),
    RowRule("CO2", "co2_states", holds(_CO2), "More air, fewer people or shorter sessions.", 9),
    RowRule("Fan stopped", "off_states", holds("{fan_off_minutes}>=least_minutes"), "Little time with the fan stopped: fewer people, and an alarm.", 10),
    RowRule("Speed, duct", "speed_states", holds("{duct_speeds}<=" + _FAST), "A larger duct.", 9),
    RowRule("Speed, grille", "grille_states", holds("{grille_speeds}<=" + _FAST), "A larger grille.", 9),
    RowRule("NC", "nc_states", holds('IF({nc_wanted}="",{nc_heard}>0,{nc_heard}<={nc_wanted})'), "More lined duct, a baffle box, a quieter fan.", 9),
)


def write(schedule: Schedule) -> Page:
    """Write the sheet."""
    purpose = "Each room against the limits on the Inputs sheet and the NC wanted of it. A pass is not an approval."
    return states.write(schedule, purpose, _STATES, 9, 70)

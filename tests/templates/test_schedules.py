"""Schedules: every row has its formulas, a blank one stays blank, a wrong one is wrong alone, and a rule broken is told."""

from dataclasses import dataclass

import pytest

from stillbook.quantities import SYSTEMS
from stillbook.templates import air_schedule, door_schedule
from stillbook.templates.air_schedule.rooms import EXAMPLES as ROOMS
from stillbook.templates.door_schedule.schedule import EXAMPLES as DOORS
from stillbook.templates.parts.examples import examples
from stillbook.workbook.job.lines import column
from templates.columns import calculated, put, shipped, values
from templates.rules import assert_second_row


@dataclass(frozen=True)
class Rows:
    """The rows of a schedule."""

    count: int
    filled: int
    worked: tuple[str, ...]
    """Its calculated columns."""
    together: frozenset[str] = frozenset()
    """Those of them that look at other rows too."""
    unjudged: frozenset[str] = frozenset()
    """Typed columns that no rule looks at."""


SCHEDULES = {
    "door-schedule": Rows(
        door_schedule.ROWS,
        len(examples(DOORS, "US")),
        (
            "door_areas",
            "targets",
            "slab_masses",
            "shortfalls",
            "added_masses",
            "door_masses",
            "hinge_counts",
            "hinge_pulls",
            "door_leaks",
            "added_thicknesses",
            "clear_widths",
            "door_counts",
            "slab_costs",
            "sheets_used",
            "sheet_costs",
            "hinges_needed",
            "hinge_costs",
            "set_costs",
            "material_costs",
            "door_hours",
            "labour_costs",
            "opening_costs",
            "opening_prices",
            "door_stcs",
            "opening_stcs",
            "row_states",
        ),
    ),
    "air-schedule": Rows(
        air_schedule.ROWS,
        len(examples(ROOMS, "US")),
        (
            "floor_areas",
            "volumes",
            "airflows_people",
            "airflows_code",
            "airflows",
            "air_changes",
            "co2_ends",
            "co2_settled",
            "fan_off_minutes",
            "heats",
            "rises",
            "cooling_airflows",
            "least_areas",
            "round_sizes",
            "duct_speeds",
            "grille_speeds",
            "friction_losses",
            "elbow_losses",
            "end_losses",
            "branch_losses",
            "duct_areas",
            "surfaces",
            "nc_heard",
            "overs",
            "worst_octaves",
            "row_states",
            "air_said",
            "noise_said",
        ),
        # The noise of each room depends on the airflow and the duct area of all of them together.
        frozenset({"nc_heard", "overs", "worst_octaves", "row_states", "air_said", "noise_said"}),
        frozenset({"watts"}),
    ),
}


@pytest.mark.parametrize("name", SCHEDULES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_blank_rows_stay_blank(name, system):
    job, _ = calculated(name, system)
    rows = SCHEDULES[name]
    for worked in rows.worked:
        assert len(values(job, worked)) == rows.count
        assert set(values(job, worked)[rows.filled :]) == {""}, worked
        assert "" not in values(job, worked)[: rows.filled], worked


@pytest.mark.parametrize("name", SCHEDULES)
def test_every_calculated_column_has_an_ordinary_formula_in_each_row(name):
    job = shipped(name, "US")
    for worked in SCHEDULES[name].worked:
        sheet, area = column(job.package, worked)
        formulas = job.package.sheet(sheet).formulas
        assert {formulas[at].kind for at in area.cells()} == {"normal"}, worked


WRONG = {
    "door-schedule": [
        ("heights", None, "height is blank"),
        ("widths", "wide", "it calculates with text"),
        ("kinds", "double", '"double"'),
        ("slabs", "Solid oak slab", "is not in the table"),
        ("sides_a", None, "side masses is blank"),
        ("slabs", None, "leaf is blank"),
        ("widths", None, "it says NA(): a cell that it needs may be empty"),
    ],
    "air-schedule": [
        ("people", None, "people is blank"),
        ("space_kinds", "cave", '"cave"'),
        ("lengths", "long", "it calculates with text"),
        ("activities", "sleeping", '"sleeping"'),
        ("watts", None, "equipment is blank"),
        ("duct_widths", None, "width is blank"),
    ],
}
"""By schedule: a column, a value in its second row that cannot be, and the reason of the error."""


@pytest.mark.parametrize(
    ("name", "typed", "value", "reason"), [(name, *wrong) for name, rows in WRONG.items() for wrong in rows]
)
def test_an_error_stands_only_where_an_input_is_wrong(name, typed, value, reason):
    job, untouched = shipped(name, "US"), calculated(name)[0]
    put(job, typed, 1, value)
    report = job.calculate()
    assert any(reason in error.reason for error in report.errors), [error.reason for error in report.errors]
    for worked in set(SCHEDULES[name].worked) - SCHEDULES[name].together:
        ours, theirs = values(job, worked), values(untouched, worked)
        assert ours[:1] + ours[2:] == theirs[:1] + theirs[2:], worked
    judged = "Waits" if value is None else "Error"
    assert_second_row("Passes" if typed in SCHEDULES[name].unjudged else judged, job, report)


BROKEN = {
    "door-schedule": [
        ("slabs", "Hollow-core door slab 1-3/4 in", "mass_states", "Doors lighter than their wall asks for"),
        ("sides_a", 9, "mass_states", "Doors lighter than their wall asks for"),
        ("added_layers", 4, "added_states", "Doors with too much added thickness"),
        ("widths", 30, "width_states", "Doors with too little clear width"),
        ("weighed", 190, "hanging_states", "Doors above the mass that hangs without special care"),
        ("stc_wanted", 60, "stc_states", "Openings below the STC wanted"),
        ("marks", "D02", "mark_states", "Marks that stand twice"),
    ],
    "air-schedule": [
        ("airflows_chosen", 20, "people_states", "Rooms with less air than their people need"),
        ("airflows_chosen", 25, "code_states", "Rooms with less outdoor air than its table asks"),
        ("airflows_chosen", 20, "co2_states", "Rooms above the CO2 to hold"),
        ("people", 9, "off_states", "Rooms with too little time when the fan stops"),
        ("duct_widths", 5, "speed_states", "Ducts faster than quiet"),
        ("grille_widths", 4, "grille_states", "Grilles faster than quiet"),
        ("nc_wanted", 15, "nc_states", "Rooms above the NC wanted"),
        ("rooms", "R02", "mark_states", "Marks that stand twice"),
    ],
}
"""By schedule: a column, a value in its first row, the column of states that it fails in, and the rule."""


@pytest.mark.parametrize(
    ("name", "typed", "value", "states", "rule"), [(name, *broken) for name, rows in BROKEN.items() for broken in rows]
)
def test_a_rule_broken_fails_in_its_row_and_says_what_to_do(name, typed, value, states, rule):
    job = shipped(name, "US")
    put(job, typed, 0, value)
    report = job.calculate()
    assert values(job, states)[0] == "Fails"
    assert values(job, "row_states")[0] == "Fails"
    assert {check.rule: check.advice for check in report.failed}[rule]

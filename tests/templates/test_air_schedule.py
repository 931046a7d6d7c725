"""The air schedule: its columns against plain arithmetic, blank rows, rows in error, the fan, and what each row passes."""

import math

import pytest

from stillbook.catalogue import call
from stillbook.quantities import SYSTEMS
from stillbook.templates.air_schedule import ROWS
from stillbook.templates.air_schedule.rows import EXAMPLES
from stillbook.workbook.lines import column
from stillbook.workbook.sheet import Change
from templates.columns import put, shipped, values

NAME = "air-schedule"
WORKED = [
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
    "row_states",
]


@pytest.fixture(scope="module")
def us():
    job = shipped(NAME, "US")
    job.calculate()
    return job


def results(job):
    return {result.name: result.value for result in job.calculate().results}


# A voice room of 8 × 6 × 7.5 ft with two people and 190 W; a control room of 18 × 14 × 9 ft with four. Rates of the
# breathing-zone procedure: 10 cfm a person and 0.06 cfm/ft² over an effectiveness of 0.8; 15 cfm a person, 30 cfm at
# least, 245 Btu/h a person and 1.08 Btu/h per cfm and °F: common practice and standard air.
FACTS = [
    ("floor_areas", 0, 48),
    ("volumes", 0, 360),
    ("airflows_people", 0, 30),
    ("airflows_code", 0, (10 * 2 + 0.06 * 48) / 0.8),
    ("airflows", 0, 30),
    ("airflows_people", 3, 60),
    ("airflows_code", 3, (10 * 4 + 0.06 * 252) / 0.8),
    ("airflows", 3, (10 * 4 + 0.06 * 252) / 0.8),
    ("airflows", 2, 105),
    ("air_changes", 0, 30 * 60 / 360),
    ("heats", 0, 2 * 245 + 190 * 3.412142),
    ("rises", 0, (2 * 245 + 190 * 3.412142) / (1.08 * 30)),
    ("cooling_airflows", 0, (2 * 245 + 190 * 3.412142) / (1.08 * 12)),
    ("least_areas", 0, 30 / 100 * 144),
    ("round_sizes", 0, 8),
    ("duct_speeds", 0, 30 / (8 * 6 / 144)),
    ("grille_speeds", 0, 30 / (14 * 8 / 144) / 0.7),
    ("duct_areas", 0, 48),
    ("surfaces", 0, 2 * (8 * 6 + 8 * 7.5 + 6 * 7.5)),
]


@pytest.mark.parametrize(("name", "row", "value"), FACTS)
def test_a_number_is_what_plain_arithmetic_gives(us, name, row, value):
    assert values(us, name)[row] == pytest.approx(value, rel=1e-6)


def test_metric_rooms_get_the_printed_metric_rates():
    job = shipped(NAME, "SI")
    job.calculate()
    assert values(job, "airflows_code")[0] == pytest.approx((5 * 2 + 0.3 * 2.4 * 1.8) / 0.8)
    assert values(job, "airflows")[0] == pytest.approx(2 * 7.1)


def test_co2_and_the_time_without_a_fan_are_those_of_the_formulas(us):
    end = call("CO2LEVEL", 2, 30, 360, 90, "talking", 420)
    assert values(us, "co2_ends")[0] == pytest.approx(end)
    assert values(us, "co2_settled")[0] == pytest.approx(call("CO2LEVEL", 2, 30, 360, None, "talking", 420))
    assert values(us, "fan_off_minutes")[0] == pytest.approx(call("CO2MINUTES", 2, 0, 360, 5000, "talking", 420, end))


def test_the_pressure_of_a_branch_is_the_sum_of_its_parts(us):
    friction = call("DUCTLOSS", 30, 8, 6, 14, "lined")
    fittings = [
        call("FITTINGLOSS", 30, 8, 6, kind, count, "lined")
        for kind, count in (("square elbow", 2), ("entrance", 1), ("exit", 1))
    ]
    assert values(us, "branch_losses")[0] == pytest.approx(friction + sum(fittings))


def test_the_noise_is_the_fan_less_its_way(us):
    fan, box = values(us, "fan_sound")[0], values(us, "box_loss")[0]
    assert fan == pytest.approx(call("FANSOUND", results(us)["fan_airflow"], 0.3, "tube axial", 0.85)[0])
    assert box == pytest.approx(call("BAFFLEBOXLOSS", 60, 36, 30, 128, 128, 2, 10)[0])
    duct = call("LINEDDUCTLOSS", 8, 6, 14, 1.5)[0]
    elbows = call("ELBOWLOSS", 8, 1.5, 2)[0]
    share = -10 * math.log10(48 / sum(area for area in values(us, "duct_areas") if area != ""))
    losses = [box[n] + duct[n] + elbows[n] + share for n in range(8)]
    power = call("PATHLEVEL", [fan], [losses], call("AIRFLOWNOISE", 30, 8, 6, "duct"))[0]
    heard = call("ROOMLEVEL", [power], 4, 360, 306 * 0.35)[0]
    assert values(us, "heard")[0] == pytest.approx(heard, abs=1e-6)
    assert values(us, "nc_heard")[0] == pytest.approx(call("NCRATING", [heard]))


def test_the_maker_s_levels_come_before_the_prediction():
    job = shipped(NAME, "US")
    sheet, area = column(job.package, "fan_sound")
    levels = [60.0, 58, 55, 52, 50, 46, 42, 38]
    row = {(area.first_row - 1, area.first_column + n): Change(level) for n, level in enumerate(levels)}
    job.package.write({sheet: row})
    job.calculate()
    assert values(job, "fan_sound")[0] == levels


def test_no_box_loses_nothing():
    job = shipped(NAME, "US")
    job.set({"box_length": None})
    job.calculate()
    assert values(job, "box_loss")[0] == [0] * 8


def test_the_fan_moves_the_air_of_all_rooms_against_the_worst_branch(us):
    found = results(us)
    rooms = [flow for flow in values(us, "airflows") if flow != ""]
    branches = [loss for loss in values(us, "branch_losses") if loss != ""]
    assert found["total_airflow"] == pytest.approx(sum(rooms))
    assert found["fan_airflow"] == pytest.approx(sum(rooms) * 1.05)
    assert found["fan_pressure_needed"] == pytest.approx(0.15 + max(branches))
    assert found["people_count"] == sum(row[3] for row in EXAMPLES)
    assert found["room_count"] == len(EXAMPLES)


@pytest.mark.parametrize("system", SYSTEMS)
def test_blank_rows_stay_blank(system):
    job = shipped(NAME, system)
    job.calculate()
    for name in WORKED:
        assert len(values(job, name)) == ROWS
        assert set(values(job, name)[len(EXAMPLES) :]) == {""}, name
        assert "" not in values(job, name)[: len(EXAMPLES)], name


WRONG = [
    ("people", None, "people is blank"),
    ("space_kinds", "cave", '"cave"'),
    ("lengths", "long", "it calculates with text"),
    ("activities", "sleeping", '"sleeping"'),
    ("watts", None, "equipment is blank"),
    ("duct_widths", None, "width is blank"),
]


@pytest.mark.parametrize(("name", "value", "reason"), WRONG)
def test_an_error_stands_only_where_an_input_is_wrong(us, name, value, reason):
    job = shipped(NAME, "US")
    put(job, name, 1, value)
    report = job.calculate()
    assert any(reason in error.reason for error in report.errors), [error.reason for error in report.errors]
    # The noise of each room depends on the airflow and the duct area of all of them together.
    for worked in set(WORKED) - {"nc_heard", "row_states"}:
        ours, theirs = values(job, worked), values(us, worked)
        assert ours[:1] + ours[2:] == theirs[:1] + theirs[2:], worked


def test_a_row_in_error_waits():
    job = shipped(NAME, "US")
    put(job, "people", 1, None)
    report = job.calculate()
    assert values(job, "row_states")[1] == "Waits"
    assert "Rows with an input missing or wrong" in {check.rule for check in report.failed}


FAILS = [
    ("airflows_chosen", 20, "people_states", "Rooms with less air than their people need"),
    ("airflows_chosen", 25, "code_states", "Rooms with less air than the outdoor air table asks"),
    ("airflows_chosen", 20, "co2_states", "Rooms above the CO2 to hold"),
    ("people", 9, "off_states", "Rooms with too little time when the fan stops"),
    ("duct_widths", 5, "speed_states", "Ducts faster than quiet"),
    ("grille_widths", 4, "grille_states", "Grilles faster than quiet"),
    ("nc_wanted", 15, "nc_states", "Rooms above the NC wanted"),
    ("rooms", "R02", "mark_states", "Marks that stand twice"),
]


@pytest.mark.parametrize(("name", "value", "states", "rule"), FAILS)
def test_a_rule_broken_fails_in_its_row_and_says_what_to_do(name, value, states, rule):
    job = shipped(NAME, "US")
    put(job, name, 0, value)
    report = job.calculate()
    assert values(job, states)[0] == "Fails"
    assert values(job, "row_states")[0] == "Fails"
    assert next(check for check in report.failed if check.rule == rule).advice


def test_a_weak_fan_fails():
    job = shipped(NAME, "US")
    job.set({"fan_pressure": 0.1})
    assert "Fan against the pressure needed" in {check.rule for check in job.calculate().failed}


def test_every_column_that_takes_ranges_is_one_formula(us):
    for name in set(WORKED) - {"nc_heard"}:
        sheet, area = column(us.package, name)
        formulas = [at for at in us.package.sheet(sheet).formulas if area.holds(*at)]
        assert formulas == [(area.first_row, area.first_column)], name

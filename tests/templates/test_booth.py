"""The booth estimate: its numbers against plain arithmetic, its inputs and its checks."""

import math
from functools import cache, partial
from itertools import pairwise

import openpyxl
import pytest

from stillbook.catalogue import call
from stillbook.cells import ErrorValue
from stillbook.quantities import SYSTEMS
from stillbook.templates.shipped import template
from stillbook.workbook.file.address import Area, read_cell
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job
from templates import columns
from templates.columns import JOB, named, numbers, together
from templates.rules import unmet

NAME = "booth-estimate"
shipped = partial(columns.shipped, NAME)
calculated = partial(columns.calculated, NAME)


@cache
def made(**changes):
    """A job that tests in several places ask, and its report, calculated once."""
    job = shipped("US")
    job.set(changes)
    return job, job.calculate()


@pytest.fixture(scope="module")
def us():
    return named(shipped("US"))


# Jobs of which each is changed in things that have nothing to do with each other.
OCTAVES = (63, 125, 250, 500, 1000, 2000, 4000, 8000)
QUIETER = {f"next_noise_{hz}": 60 for hz in OCTAVES}
SUPPLY_MAKERS = {f"fan_sound_{hz}": 60 for hz in OCTAVES}
TYPED_TEXT = {"client": "=1+1", "project": "@SUM(A1)", "reference": "-3", "prepared_by": "+x"}
LEAKING = {"leaf_boxes": 2, "room_alpha": 0.2}
LOUD = {"margin": "25%", "inside_level": 90, **TYPED_TEXT}
DRUMS = {"inside_source": "drums", **SUPPLY_MAKERS}
MUSIC = {"inside_source": "amplified music", "inside_level": 110, "people": 1, "day_minutes_4": 30, "day_people_4": 1}
RECOVERING = {**QUIETER, "air_source": "outdoors with recovery"}
TESTING = {**QUIETER, "next_noise_1000": 10, "hearing_tests": "ANSI earphones", "test_tone": "125 Hz"}
SINGLE = {**JOB, "door_choice": "single"}
UNSEALED = {**JOB, "hole_sealed": 0.5, "damper_ratio": 3, "damper_place": "neck"}
PLYWOOD = {**JOB, "inner_material_1": "Plywood 1/2 in", "damper_ratio": 3, "damper_place": "plenum inlet"}
MOUNTED = {
    **JOB,
    **{"fan_rpm": 1750, "mount_deflection": "0.1 in", "space_temperature": 45},
    **{"damper_ratio": 3, "damper_place": "supply duct"},
}


# A room of 8 × 6 × 7.5 ft inside, two layers of 5/8 in board (2.2 lb/ft², 5/8 in) on each of two frames of 3-1/2 in
# studs 1 in apart, on two layers of 3/4 in plywood. Arithmetic by hand; facts of the trade: common practice, no source.
SHELL = [
    ("inner_mass", 4.4),
    ("outer_mass", 4.4),
    ("deck_mass", 4.4),
    ("inner_thickness", 1.25),
    ("cavity", 2 * 3.5 + 1),
    ("shell_thickness", 1.25 + 8 + 1.25),
    ("outside_length", 8 + 2 * 10.5 / 12),
    ("outside_width", 6 + 2 * 10.5 / 12),
    ("outside_height", 7.5 + (10.5 + 1.5) / 12),
    ("room_volume", 8 * 6 * 7.5),
    ("door_area", 20.0),
    ("inner_wall_area", 2 * (8 + 6) * 7.5 - 20),
    ("outer_wall_area", 2 * (9.75 + 7.75) * 8.5 - 20),
    ("footprint", 9.75 * 7.75),
]
DOORS = [
    ("door_arrangement", "pair"),
    ("inner_door_least", math.ceil(4.4 * 20 * 1.05)),
    ("single_door_least", math.ceil(8.8 * 20 * 1.05)),
    ("inner_short", 93 - 60),
    ("single_short", 185 - 60),
    ("inner_door_mass", 60 + 2.2 * 20),
    ("doors_mass", 2 * (60 + 2.2 * 20)),
    ("pair_hinges", 3),
]
AIR = [
    ("airflow_people", 2 * 15),
    ("airflow_code", (10 * 2 + 0.06 * 48) / 0.8),
    ("airflow", 30.0),
    ("air_changes", 30 * 60 / 360),
    ("heat_gain", 2 * 250 + 190 * 3.412142),
    ("rise_air_alone", (2 * 250 + 190 * 3.412142) / (1.08 * 30 + (2 * (8 * 6 + 14 * 7.5)) / 16)),
    ("cooling_airflow", (2 * 250 + 190 * 3.412142) / (1.08 * 12)),
]
DUCTS = [
    ("duct_area", 30 / 100 * 144),
    ("duct_round", 8.0),
    ("speed_duct", 30 / (8 * 6 / 144)),
    ("speed_round", 30 / (math.pi / 4 * (8 / 12) ** 2)),
    ("speed_grille", 30 / (14 * 8 / 144) / 0.7),
    ("duct_outer_width", 8 + 2 * 1.5),
    ("circuit_amps", 190 * 1.25 / 120),
    # Nine signal cables of 1/4 in and one of 0.35 in at 40 %; one power cable of 0.4 in at 53 %; 99 % of what is left sealed.
    ("signal_hole_size", math.sqrt((9 * 0.25**2 + 0.35**2) / 0.4)),
    ("power_hole_size", math.sqrt(0.4**2 / 0.53)),
    ("cable_leak", 0.01 * math.pi / 4 * ((9 * 0.25**2 + 0.35**2) * (1 / 0.4 - 1) + 0.4**2 * (1 / 0.53 - 1))),
    ("hole_count", 2),
]


# Absorption by hand at 500 Hz, Sabine's 0.049 s/ft being 0.04908 at 343.2 m/s: bare, 190 + 48 ft² of 0.06, 48 of 0.57, 20
# of 0.06, the air's as published (test_noise_ratings); treatment of 0.86 in place of 0.06 for the 0.2 s aimed at, 3 % more, whole square feet: 59. Boxes: 7 of 4 × 4 × 2-1/8 in, 50 in² each, one pad of 7-1/4 in each. NEC 314.16(B): 8 × 2.25 in³.
OF_AIR = call("AIRABSORPTION", 8 * 6 * 7.5, 74, 0.45, 0, "US")[0]
BARE = (190 + 48) * 0.06 + 48 * 0.57 + 20 * 0.06 + OF_AIR[2]
TREATED = math.ceil(1.03 * (0.161020 * 0.3048 * 360 / 0.2 - BARE) / (0.86 - 0.06))
MIDDLE = BARE + TREATED * (0.86 - 0.06)
INSIDE = [
    ("longest_time", 0.161020 * 0.3048 * 360 / MIDDLE),
    ("more_treatment", 0.0),
    ("modal_limit", 2000 * math.sqrt(0.161020 * 0.3048 * 360 / MIDDLE / (360 * 0.3048**3))),
    ("floor_left", (8 - 8 / 12) * (6 - 8 / 12)),
    ("uneven_bands", 0.0),
    ("box_count", 7.0),
    ("putty_count", 7.0),
    ("box_needs", 18.0),
    ("boxes_leak", 0.0),
]
# A box of two boards of 5/8 in, 72 in long outside, lined 2 in, three passages of 6 × 8 in with 1/2 in between them.
BOX = [
    ("speed_box", 30 / (6 * 8 / 144)),
    ("baffle_inside_length", 72 - 2 * (2 + 1.25)),
    ("baffle_outer_width", 3 * 6 + 2 * (0.5 + 2 * 2) + 2 * (2 + 1.25)),
    ("baffle_outer_height", 8 + 2 * (2 + 1.25)),
    ("baffle_shell_area", 2 * (72 * 33.5 + 72 * 14.5 + 33.5 * 14.5) / 144),
    ("baffle_shell_less", 0),
    ("speed_collar", 30 / (math.pi / 4 * (4 / 12) ** 2)),
]
SOURCES = [
    ("supply_temperature", 70),
    ("condensation", "no core"),
    ("day_minutes", 90 + 15 + 90),
    ("heat_day", 2 * 250 + 190 * 3.412142),
]


@pytest.mark.parametrize(("name", "value"), SHELL + DOORS + AIR + DUCTS + INSIDE + BOX + SOURCES)
def test_a_number_is_what_plain_arithmetic_gives(us, name, value):
    assert us[name] == (value if isinstance(value, str) else pytest.approx(value, rel=1e-6))


def test_the_weight_on_the_floor_adds_up(us):
    skins = us["inner_wall_area"] + 48 + us["outer_wall_area"] + us["footprint"]
    boards = 4.4 * (skins + us["footprint"])
    wool, frames = skins * 0.624, skins * 1.2
    inside = 208 + 2 * us["baffle_mass"] + 60 + 200 + 2 * 175 + 1.5 * (44 + 18)
    assert us["total_mass"] == pytest.approx(boards + wool + frames + inside, rel=1e-3)
    assert us["floor_load"] == pytest.approx(us["total_mass"] / us["footprint"])


def lines(job):
    """Rows of the Job price sheet's lines as dictionaries by heading."""
    rows = job.package.rows("Job price", Area(1, 2, 200, 12))
    head = next(index for index, row in enumerate(rows) if "Line cost" in row)
    titles = rows[head]
    return [
        dict(zip(titles, row, strict=True))
        for row in rows[head + 1 :]
        if isinstance(row[titles.index("Line cost")], float)
    ]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_price_follows_from_its_lines(system):
    job = shipped(system)
    values = named(job)
    counted = [line for line in lines(job) if line["Counts"] == 1]
    for line in counted:
        assert line["Material"] == pytest.approx(line["Quantity"] * line["Unit cost"])
        assert line["Line cost"] == pytest.approx(line["Material"] + line["Labour"])
    direct = sum(line["Line cost"] for line in counted)
    cost = direct * 1.12 * 1.05
    assert values["direct_cost"] == pytest.approx(direct)
    assert values["total_cost"] == pytest.approx(cost)
    assert values["price_before_tax"] == pytest.approx(cost / (1 - 0.2))
    assert values["price"] == pytest.approx(cost / 0.8 * (1 if system == "US" else 1.2))
    assert values["margin_amount"] == pytest.approx(values["price_before_tax"] * 0.2)
    assert values["material_cost"] + values["labour_cost"] == pytest.approx(direct)
    assert values["price_pair"] == pytest.approx(values["price"])
    assert values["price_single"] != values["price"]


# Whole sheets of 4 × 8 ft, two layers on each surface in strips 4 ft wide: see test_takeoff.py.
ORDERS = [
    ("Gypsum board 5/8 in type X", 0, 2 * (4 * 2 + 2)),
    ("Gypsum board 5/8 in type X", 1, 2 * (2 * (3 + 1) + 2 * (2 + 1) + 3)),
    ("Plywood 3/4 in", 0, 2 * 3),
    ("SLAB", 0, 2),
    ("HINGE", 0, 6),
    ("DUCT", 0, math.ceil(24 * 1.1)),
    ("MDF 1/2 in", 0, 1),
    ("LINING", 0, math.ceil(2 * (2 * (65.5 * 27 + 65.5 * 8 + 27 * 8) + 4 * 59.5 * 8) / 144 * 1.15)),
    ("FAN", 0, 2),
    ("VENTILATOR", 0, 0),
    ("SLEEVE", 0, 4),
]


@pytest.mark.parametrize(("code", "which", "quantity"), ORDERS)
def test_the_order_is_in_whole_pieces(code, which, quantity):
    job = shipped("US")
    assert [line["Quantity"] for line in lines(job) if line["Code"] == code][which] == quantity


def test_choosing_one_heavy_door_gives_its_price_and_its_mass():
    before, after = named(made(**JOB)[0]), named(made(**SINGLE)[0])
    assert after["price"] == pytest.approx(before["price_single"])
    assert after["price_pair"] == pytest.approx(before["price"])
    assert after["room_stc"] == before["other_doors_stc"]
    assert after["other_doors_stc"] == before["room_stc"]
    assert after["doors_mass"] == pytest.approx(60 + 3 * 2.926 * 20, rel=1e-3)


# Each job is changed in things that have nothing to do with each other.
CHANGES = [
    (
        {"people": 4, "room_length": "10 ft", "inner_count_1": 3},
        {"airflow": 60.0, "outside_length": 10 + (2 * 10.5 + 2 * 0.625) / 12, "inner_mass": 6.6},
    ),
    (
        {
            "room_length": "3 m",
            "door_width": 30,
            "airflow_chosen": "20 L/s",
        },
        {
            "outside_length": 3 / 0.3048 + 1.75,
            "inner_door_least": math.ceil(4.4 * 30 * 80 / 144 * 1.05),
            "airflow": 20 / 0.4719474432,
        },
    ),
    ({"inner_material_2": "2.5 lb/ft²", "inner_count_2": 1, "inner_thickness_2": 0.1}, {"inner_mass": 6.9}),
]


@pytest.mark.parametrize(
    ("changes", "name", "value"),
    [(changes, name, value) for changes, moved in CHANGES for name, value in moved.items()],
)
def test_an_input_changed_moves_what_depends_on_it(changes, name, value):
    assert named(calculated("US", changes)[0])[name] == pytest.approx(value, rel=1e-9)


def test_a_margin_is_a_share_of_the_price(us):
    assert named(made(**LOUD)[0])["price_before_tax"] == pytest.approx(us["total_cost"] / 0.75)


@pytest.fixture(scope="module")
def misspelt():
    job = shipped("US")
    entry = job.inputs["inner_material_1"]
    job.write({entry.sheet: {read_cell(entry.cell): Change("Gypsum bord 5/8 in")}})  # as typed in a spreadsheet program
    return job, job.calculate()


def test_an_unknown_material_is_an_error_with_its_reason_and_no_price(misspelt):
    _, report = misspelt
    assert any("is not in the table" in error.reason for error in report.errors)
    price = next(result for result in report.results if result.name == "price")
    assert not isinstance(price.value, float)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_shipped_estimate_waits_for_its_client_and_fails_nothing(system):
    sides = [f"The shell fits the space: {side}" for side in ("length", "width", "height")]
    room = [
        "Working room round the shell",
        "Outer door opens in the space left",
        "Baffle boxes and their service find room",
    ]
    air = "Air: outdoor air in it, at least the outdoor air table's"
    rules = ["Client, project and date are filled in", "Load over the footprint", air, *sides, *room]
    if system == "US":
        waiting, whole = made()[1], made(**JOB)[1]
    else:
        job = shipped(system)
        waiting = job.calculate()
        job.set(JOB)
        whole = job.calculate()
    assert unmet(waiting) == dict.fromkeys(rules, "waits")
    assert unmet(whole) == {}


def test_a_tight_space_leaves_no_place_for_door_work_and_boxes():
    """A shell of 9.75 × 7.75 × 8.5 ft in a space of 10.5 × 8.25 × 9 ft: 9 in and 6 in are left, a 36 in door, boxes of 15 in."""
    job = shipped("US")
    job.set({**JOB, "space_length": 10.5, "space_width": 8.25, "space_height": 9})
    failing = (
        "Working room round the shell",
        "Outer door opens in the space left",
        "Baffle boxes and their service find room",
    )
    assert unmet(job.calculate()) == dict.fromkeys(failing, "fails")
    found = named(job)
    assert (found["left_length"], found["left_width"], found["room_round"]) == (9, 6, 3)
    job.set({"box_place": "on top of the shell"})
    assert unmet(job.calculate()) == dict.fromkeys(failing, "fails")


def test_checks_that_wait_name_the_sizes_of_the_space():
    checks = {check.rule: check for check in made()[1].checks}
    assert checks["The shell fits the space: length"].waits_for == ("space_length",)
    assert set(checks["Working room round the shell"].waits_for) == {"space_length", "space_width"}


def told(changes):
    """A job that is told whole, and its report, once inputs are changed."""
    if not changes:
        return made(**JOB)
    return calculated("US", {name: value for name, value in {**JOB, **changes}.items() if value is not None})


def grouped(number):
    """All changes of a group of the table below."""
    return {name: value for changes, *_ in PROMISES[number] for name, value in changes.items()}


def said_to_the_client(changes):
    """The sentences of the proposal of a job once inputs are changed."""
    job, _ = told(changes)
    return [str(job.package.value("Proposal", row, 2) or "") for row in range(1, 90)]


# What is changed, what the proposal then says, and what it no longer says. Those of one group are changed in one job: they
# have nothing to do with each other, and none of these sentences stands there without its own change.
PROMISES = [
    [
        ({}, "is heard inside; NC 25 or less is asked for.", ""),
        ({}, "It fits the space of 18.00 × 13.00 × 9.50 ft", ""),
        ({}, "within the 100 lb/ft² told for it, to be confirmed by an engineer.", ""),
        ({}, "is heard next door; NC 30 or less is asked for.", "What is heard next door"),
        ({}, "Of loud speech outside, NC ", "hearing tests"),
        ({}, "In plain words, at STC 48: loud speech is barely heard, and not understood,", "not said"),
        ({}, "a fan in and a fan out", ""),
    ],
    [
        ({"fan_margin": 15}, "As drawn it would be heard: NC", "all together"),
        ({"people": 6, "airflow_chosen": 30}, "Air, not enough for 6 people: 30 cfm", "Fresh air for"),
        ({"space_height": 8}, "As drawn it does not fit the space of 18.00 × 13.00 × 8.00 ft", "It fits"),
        ({"floor_capacity": 50}, "more than the 50 lb/ft² it may carry", "within the"),
        ({"slab_mass": 30, "makeup_most": 0.1}, "lighter than its wall asks", ""),
        ({"door_width": 24}, "; too narrow for a way out.", ""),
        ({"cavity_fill": "empty"}, "an empty cavity", "a filled cavity"),
        ({"equipment_power": 3000}, "on too small a circuit", ""),
        ({"cooling_power": 0}, "too warm without cooling", "a cooling unit"),
        ({"deposit_share": 0.8}, "Payment: not settled.", "on order"),
        ({"inside_source": "drums"}, "dB over NC 30 is heard next door, most at 63 Hz.", "NC 30 or less"),
        (
            {"inside_source": "drums"},
            "In plain words: as drawn it does not reach what was asked for: the level next door.",
            "loud speech is",
        ),
        ({"stc_target": 52}, ", its low end under the STC 52 asked for.", ""),
        ({"air_leaves": "return duct"}, "", "a fan in and a fan out"),
        (
            {"hearing_tests": "ANSI insert earphones"},
            "For hearing tests (ANSI insert earphones, from 125 Hz): quiet enough as predicted (its whole range too); a",
            "too loud",
        ),
    ],
    [
        ({"filter_loss": 1.5}, "of which the fan moves", "Fresh air for"),
        ({"space_height": 8, "space_length": None}, "As drawn it does not fit the space it stands in.", "0.0"),
        ({"floor_capacity": None}, "whether the floor carries that is not known", "within the"),
        ({"nc_target": 15, "source_level": 110}, "dB over the target is heard inside", "Isolation between"),
        (
            {"inside_source": "amplified rock"},
            "dB over NC 40 is heard outdoors, 10 ft from the shell, most at 63 Hz.",
            "NC 40 or less",
        ),
        ({"next_noise_63": 40}, "What is heard next door is not known.", "heard next door (predicted"),
    ],
    [
        ({"space_length": 14, "space_width": 12}, "too little room in the space to open its outer door", "It fits"),
        ({"room_height": 6}, "; no such door fits the room.", ""),
        ({"stc_target": 60}, ", under the STC 60 asked for.", "low end"),
        (
            {"stc_target": 60},
            "In plain words: as drawn it does not reach what was asked for: the STC of the room.",
            "loud speech is",
        ),
    ],
    [
        ({"space_length": None}, "Whether it fits is not known", "It fits"),
        ({"nc_target": 40}, "In plain words: not said", "loud speech is"),
    ],
    [
        ({"hearing_tests": "ISO sound field"}, "It is to be quieter for hearing tests.", "all together no more"),
    ],
    [
        (
            {"hearing_tests": "ANSI earphones", "source_level": 68, "test_tone": "250 Hz"},
            ": quiet enough as predicted (range: up to ",
            "whole range",
        ),
    ],
]


@pytest.mark.parametrize(
    ("changes", "said", "unsaid"),
    [(grouped(number), said, unsaid) for number, group in enumerate(PROMISES) for _, said, unsaid in group],
)
def test_the_proposal_promises_nothing_that_a_check_denies(changes, said, unsaid):
    text = "\n".join(said_to_the_client(changes))
    assert said in text
    assert not unsaid or unsaid not in text


def test_the_range_for_hearing_tests_is_that_of_the_octaves():
    """By how much the most that is heard at the seat is over the levels of the tests, and where."""
    changes = grouped(len(PROMISES) - 1)
    job, _ = told(changes)
    levels = next(
        row[4:12] for row in job.package.rows("Air path", Area(1, 2, 200, 14)) if row[0] == "All together at most"
    )
    limits = block(job, "hearing_limits")[0]
    over = {hz: level - limit for hz, level, limit in zip(OCTAVES, levels, limits, strict=True) if limit != "none"}
    worst = max(over, key=over.get)
    assert over[worst] > 0
    text = "\n".join(said_to_the_client(changes))
    assert f"(range: up to {math.ceil(over[worst] * 10) / 10:.1f} dB over at {worst} Hz); a licensed" in text


def test_no_make_up_of_a_door_is_said_in_words():
    """63 lb short in 0.1 in: the thinnest, of steel or lead, adds more; the table is not left blank."""
    job, _ = told(grouped(1))
    rows = [str(row[0]) for row in job.package.rows("Doors", Area(1, 2, 60, 2))]
    assert sum(words.startswith("No sheet makes it up in 4 layers within 0.1 in") for words in rows) == 1


def test_a_proposal_with_failing_checks_says_across_its_head_that_it_is_a_draft():
    job, _ = told({})
    head = [job.package.value("Proposal", 1, column) for column in range(2, 7)]
    assert not any(str(value or "").startswith("DRAFT") for value in head)
    job, report = told({"people": 6, "room_length": "9 ft", "space_height": "8 ft"})
    head = [job.package.value(sheet, 1, column) for sheet in ("Proposal", "Scope") for column in range(2, 9)]
    assert head.count(f"DRAFT: {len(report.denied)} checks fail") == 2


def test_a_broken_formula_is_an_error_in_the_sheet(misspelt):
    job, report = misspelt
    wrong = [check for check in report.checks if check.state == "error"]
    states = [row[-2] for row in job.package.rows(*next(n.cells for n in job.package.names if n.name == "checks"))]
    assert wrong
    assert states.count("Error") == len(wrong)
    counted = {n.name: job.package.rows(*n.cells) for n in job.package.names if n.name.startswith("checks_")}
    assert next(iter(counted["checks_denied"]))[0] == len(report.denied)
    assert next(iter(counted["checks_in_error"]))[0] == len(wrong)


def test_the_rating_is_what_the_formulas_give_on_the_inputs(us):
    wall = call(
        "WALLTL",
        [["Gypsum board 5/8 in type X", None, 2]],
        [["Gypsum board 5/8 in type X", None, 2]],
        8,
        "filled",
        "separate frames",
        None,
        "STC",
        us["outer_wall_area"],
    )[0]
    assert 50 < us["room_stc"] < call("STCRATING", wall)
    assert us["stc_from_to"] == f"{us['room_stc'] - us['stc_range']:.0f} to {us['room_stc'] + us['stc_range']:.0f}"


def test_a_laboratory_figure_replaces_the_prediction(tmp_path):
    path = tmp_path / "lab.xlsx"
    path.write_bytes(template("booth-estimate").path("US").read_bytes())
    job = Job.open(path)
    row = next(r for r in range(1, 60) if job.package.value("Isolation", r, 2) == "Shell, laboratory figure")
    job.package.write({"Isolation": {(row, 3 + band): Change(40.0) for band in range(16)}})
    report = job.calculate()
    values = named(job)
    assert values["lab_used"] == 1
    assert values["wall_stc"] == 40
    waiting = {check.rule for check in report.checks if check.state == "waits"}
    assert "Laboratory figures name their report" in waiting


ABSORPTION = [TREATED * a + (190 + 48 - TREATED) * b + 48 * c + 20 * d + air for a, b, c, d, air in zip(
    (0.23, 0.59, 0.86, 0.86, 0.86, 0.86), (0.15, 0.10, 0.06, 0.04, 0.04, 0.05),
    (0.08, 0.24, 0.57, 0.69, 0.71, 0.73), (0.14, 0.10, 0.06, 0.08, 0.10, 0.10), OF_AIR, strict=True)]  # fmt: skip


def row_of(job, sheet, label, last=90):
    """The cells of the row with this label, after calculation."""
    return next(row[1:] for row in job.package.rows(sheet, Area(1, 2, last, 10)) if row[0] == label)


def test_what_the_room_absorbs_decides_what_is_heard_inside():
    job = shipped("US")
    assert row_of(job, "Room", "Absorption area, ft²")[2:] == pytest.approx(ABSORPTION)
    heard = row_of(job, "Isolation", "Absorption inside, ft²")
    assert heard == pytest.approx([ABSORPTION[0], *ABSORPTION, ABSORPTION[-1]])
    assert row_of(made(**LEAKING)[0], "Isolation", "Absorption inside, ft²") == pytest.approx([0.2 * 306] * 8)


def test_a_laboratory_s_figures_replace_those_of_the_treatment(tmp_path):
    path = tmp_path / "treated.xlsx"
    path.write_bytes(template("booth-estimate").path("US").read_bytes())
    job = Job.open(path)
    row = next(r for r in range(1, 60) if job.package.value("Room", r, 2) == "Treatment, laboratory figures")
    job.package.write({"Room": {(row, 5 + band): Change(0.5) for band in range(6)}})
    job.calculate()
    treatment = row_of(job, "Room", "Treatment on walls and ceiling")
    assert treatment[0] == "laboratory figures"
    assert list(treatment[2:]) == [0.5] * 6


def test_boxes_in_a_leaf_leak(us):
    before, after = us, named(made(**LEAKING)[0])
    ring = 2 * ((4 + 0.25) ** 2 - 4**2) * 0.01
    assert after["holes_leak"] - before["holes_leak"] == pytest.approx(ring)
    assert after["wall_boxes"] == before["wall_boxes"] - 2


SIZES = [
    {
        "room_length": 60,
        "room_width": 60,
        "room_height": 20,
        "space_length": 300,
        "space_width": 300,
        "space_height": 60,
    },
    {"room_length": 60, "room_width": 4, "room_height": 6.5, "space_length": 300},
    {
        "room_length": 4,
        "room_width": 3.5,
        "room_height": 6,
        "door_width": 28,
        "door_height": 66,
        "treatment_walls_width": 1,
    },
]


@pytest.mark.parametrize("changes", SIZES)
def test_a_room_of_any_size_has_its_modes(changes):
    job = shipped("US")
    job.set(changes)
    report = job.calculate()
    assert [error for error in report.errors if error.sheet == "Room"] == []
    rows = job.package.rows("Room", Area(1, 2, 90, 10))
    listed = [row for row in rows if str(row[0]).startswith(("axial", "tangential", "oblique"))]
    assert len(listed) == 15
    assert [row[1] for row in listed] == sorted(row[1] for row in listed)
    assert [row[4] for row in listed if isinstance(row[4], float)][-1] == 200


def test_text_typed_by_people_never_becomes_a_formula(tmp_path):
    made(**LOUD)[0].save(tmp_path / "typed.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "typed.xlsx", data_only=True)["Proposal"]
    shown = {cell.value for row in sheet.iter_rows() for cell in row}
    assert {"=1+1", "@SUM(A1)", "-3", "+x"} <= shown


def test_who_prices_the_scope_reads_the_sizes():
    job = shipped("US")
    said = " ".join(str(value) for row in job.package.rows("Scope", Area(1, 2, 60, 2)) for value in row)
    for words in (
        "4.0 × 8.0 ft",
        "36.0 × 80.0 in",
        "slabs of 60 lb",
        "8 × 6 in inside, lined 1.5 in",
        "supply fan 30 cfm at",
    ):
        assert words in said
    # 6 ft and two boards of 1.25 in; 7.75 ft less two boards and two frames of 4.75 in together
    assert "Joists span 6.2 ft inside and 7.0 ft outside" in said


# --- the air path -----------------------------------------------------------------------------------------------------


def block(job, name):
    """The rows of a named range."""
    sheet, area = next(found.cells for found in job.package.names if found.name == name)
    return job.package.rows(sheet, area)


def at_the_seat(job):
    """The sounds at the seat, octave by octave; that of a silencer stands in the last row, blank without one."""
    return [row for row in block(job, "heard_levels") if row[0] != ""]


def spectrum(name, *arguments):
    return call(name, *arguments)[0]


@pytest.fixture(scope="module")
def path():
    job = shipped("US")
    return job, named(job)


# Each element of the shipped estimate, worked with the formulas on plain numbers.
ELEMENTS = [
    (0, [0] * 8),
    (1, ("LINEDDUCTLOSS", 8, 6, 12, 1.5)),
    (2, ("ELBOWLOSS", 8, 1.5, 3)),
    (3, ("LABYRINTHLOSS", 6, 8, 65.5, 3, 2)),
    (4, ("AREACHANGELOSS", 48, 112)),
    (5, [0] * 8),
]


@pytest.mark.parametrize(("row", "expected"), ELEMENTS)
def test_what_an_element_takes_off(path, row, expected):
    wanted = expected if isinstance(expected, list) else spectrum(*expected)
    assert block(path[0], "path_losses")[row] == pytest.approx(wanted)


def duct_loss(length=12, elbows=3):
    return call("DUCTLOSS", 30, 8, 6, length, "lined") + call("FITTINGLOSS", 30, 8, 6, "square elbow", elbows, "lined")


def box_loss():
    return call("LABYRINTHPRESSURE", 30, 6, 8, 65.5, 3)


def narrowing(grille=0.01):
    """From the room through its grille to the duct."""
    return grille + call("TRANSITIONLOSS", 30, 14, 8, 8, 6) + call("FITTINGLOSS", 30, 14, 8, "entrance")


@pytest.fixture(scope="module")
def one_fan():
    """The estimate with one fan, and the air that it pushes out by the return."""
    return leaving(RETURN)


def test_the_pressure_of_the_ways(one_fan):
    widening = 0.01 + call("TRANSITIONLOSS", 30, 8, 6, 14, 8) + call("FITTINGLOSS", 30, 14, 8, "exit")
    intake = 0.01 + call("FITTINGLOSS", 30, 4, None, "entrance") + 0.08 + call("TRANSITIONLOSS", 30, 4, None, 8, 6, 12)
    supply = intake + duct_loss() + box_loss() + widening
    outlet = 0.01 + call("FITTINGLOSS", 30, 8, 6, "exit")
    back = outlet + duct_loss() + box_loss() + narrowing()
    values = one_fan[1]
    assert values["path_loss"] == pytest.approx(supply)
    assert values["return_loss"] == pytest.approx(back)
    assert values["fan_system_loss"] == pytest.approx(supply + back)


def test_the_room_is_pressed_up_by_what_the_way_out_takes(one_fan):
    values = one_fan[1]
    assert values["room_pressure"] == pytest.approx(values["return_loss"])
    # 1 in.wg is 5.202 lb/ft²; the handle stands across from the hinges, so half of the door's area counts.
    assert values["door_push"] == pytest.approx(values["return_loss"] * 5.202 * (36 * 80 / 144) / 2)
    assert (values["room_supply"], values["room_extract"]) == (30, 30)


def test_the_fan_meets_the_ways(path):
    values = path[1]
    flow = values["fan_full_flow"]
    assert 30 < flow < 60
    on_its_curve = 0.55 + (0.45 - 0.55) * (flow - 30) / 30
    assert on_its_curve == pytest.approx(values["fan_system_loss"] * (flow / 30) ** 2)
    assert values["fan_speed"] == pytest.approx(30 / flow)
    assert values["fan_working_pressure"] == pytest.approx(values["fan_system_loss"])
    assert values["fan_pressure"] == pytest.approx(0.55)


def test_the_sound_of_the_fan_without_its_makers_figures(path):
    """Backward inclined, 45 dB at 125 Hz by Graham; 3 dB off its best point, 5 dB of margin."""
    job, values = path
    fan = 45 + 10 * math.log10(30) + 20 * math.log10(values["fan_system_loss"]) + 3 + 5
    assert block(job, "fan_sound")[0][1] == pytest.approx(fan)


def test_the_makers_figures_are_taken_at_the_speed():
    job, _ = made(**DRUMS)
    values = named(job)
    assert values["fan_given"] == 1
    assert block(job, "fan_sound")[0] == pytest.approx([60 + 50 * math.log10(values["fan_speed"])] * 8)


def test_what_is_heard_adds_up(path):
    job, values = path
    rows = at_the_seat(job)
    total = [together(*column) for column in zip(*rows, strict=True)]
    assert values["nc_all"] == pytest.approx(call("NCRATING", [total]))
    room = spectrum("ROOMLOSS", 3, 360, block(job, "seat_absorption"))
    losses = block(job, "path_losses")
    at_125 = block(job, "fan_sound")[0][1] - sum(row[1] for row in losses) - room[1]
    assert rows[0][1] == pytest.approx(at_125)
    assert rows[-1] == pytest.approx(block(job, "shell_inside")[0])
    assert block(job, "target_levels")[0] == pytest.approx(spectrum("NCCURVE", 25))


def test_what_comes_in_from_outside(path):
    job = path[0]
    outside, room = spectrum("SOURCELEVELS", "speech loud"), spectrum("ROOMLOSS", 3, 360, block(job, "seat_absorption"))
    assert block(job, "source_outside")[0] == pytest.approx(outside)
    into = spectrum("CROSSTALKPOWER", [outside], 8, 6)
    through = spectrum("BREAKINPOWER", [outside], 33.5, 14.5, 6, [["Gypsum board 5/8 in type X", None, 2]])
    intake, outlet, boxes = at_the_seat(job)[-4:-1]
    for losses, opening in ((block(job, "path_losses"), intake), (block(job, "return_losses"), outlet)):
        for band in range(8):
            along = min(50, sum(row[band] for row in losses))
            assert opening[band] == pytest.approx(max(-50, into[band] - along - room[band]))
    losses = block(job, "path_losses")
    for band in range(8):
        after = losses[3][band] / 2 + losses[4][band] + losses[5][band]
        assert boxes[band] == pytest.approx(max(-50, through[band] + 10 * math.log10(2) - after - room[band]))


def test_what_to_change_first_is_heard_most_in_the_worst_octave(path):
    job, values = path
    names = [row[0] for row in block(job, "heard_names")]
    found = call("CHANGEFIRST", names, block(job, "heard_levels"), block(job, "target_levels"))
    assert [values["change_octave"], values["change_first"]] == [found[1][0], found[1][4]]
    assert values["change_first"] == "Outside, through the room's shell"


# --- the way out ------------------------------------------------------------------------------------------------------

RETURN, TRANSFER, OWN_FAN = "return duct", "transfer duct", "return duct with fan"


def leaving(way, **changes):
    job, _ = calculated("US", {"air_leaves": way, **changes}) if changes else made(air_leaves=way)
    return job, named(job)


def quantities(job):
    """What is ordered, by code, where a code stands in one line."""
    return {line["Code"]: line["Quantity"] for line in lines(job)}


def failing(job):
    return {row[0] for row in block(job, "checks") if row[6] == "Fails"}


def arriving(source, losses, noises):
    """Power at the end of a way: its source, the sound made in each element, and what runs along the walls."""
    parts = [source - sum(losses), source - 50]
    parts += [noise - sum(losses[place + 1 :]) for place, noise in enumerate(noises) if noise not in (None, "")]
    return together(*parts)


def test_a_return_alike_takes_off_what_the_supply_does(path):
    assert block(path[0], "return_losses")[1:] == block(path[0], "path_losses")[1:]


def test_a_return_of_its_own_length_elbows_and_grilles():
    job, values = leaving(RETURN, return_length=20, return_elbows=1, return_grille_loss=0.03)
    losses = block(job, "return_losses")
    assert losses[1] == pytest.approx(spectrum("LINEDDUCTLOSS", 8, 6, 20, 1.5))
    assert losses[2] == pytest.approx(spectrum("ELBOWLOSS", 8, 1.5, 1))
    outlet = 0.03 + call("FITTINGLOSS", 30, 8, 6, "exit")
    assert values["return_loss"] == pytest.approx(outlet + duct_loss(20, 1) + box_loss() + narrowing(0.03))
    ordered = quantities(job)
    assert ordered["DUCT"] == math.ceil((12 + 20) * 1.1)
    assert ordered["ELBOW"] == 3 + 1


def test_no_elbows_are_not_the_supplys_elbows():
    job, values = leaving(RETURN, return_elbows=0)
    assert values["way_out_elbows"] == 0
    assert block(job, "return_losses")[2] == [0] * 8


@pytest.mark.parametrize(
    ("way", "first", "boxes", "fans"),
    [
        (RETURN, lambda: call("FITTINGLOSS", 30, 8, 6, "exit"), 2, 1),
        (TRANSFER, lambda: call("FITTINGLOSS", 30, 8, 6, "exit"), 1, 1),
        (
            OWN_FAN,
            lambda: call("TRANSITIONLOSS", 30, 8, 6, 4, None, 12) + call("FITTINGLOSS", 30, 4, None, "exit"),
            2,
            2,
        ),
    ],
)
def test_all_sheets_follow_how_the_air_leaves(path, way, first, boxes, fans):
    job, values = leaving(way)
    back = 0.01 + first() + duct_loss() + box_loss() * (boxes - 1) + narrowing()
    assert values["return_loss"] == pytest.approx(back)
    assert values["fan_system_loss"] == pytest.approx(values["path_loss"] + (0 if fans == 2 else back))
    ordered = quantities(job)
    assert (ordered["AIRBOX"], ordered["FAN"], ordered["CONNECTOR"]) == (boxes, fans, 2 * fans)
    assert ordered["LINING"] == math.ceil(boxes * values["baffle_lining_area"] * 1.15)
    assert values["total_mass"] == pytest.approx(path[1]["total_mass"] + (boxes - 2) * values["baffle_mass"])
    off = block(job, "return_losses")
    assert off[3] == ([0] * 8 if boxes == 1 else block(job, "path_losses")[3])


def test_a_room_with_a_transfer_duct_hears_its_air_and_the_outside():
    job, _ = leaving(TRANSFER)
    levels = at_the_seat(job)
    room = spectrum("ROOMLOSS", 3, 360, block(job, "seat_absorption"))
    losses = list(zip(*block(job, "return_losses"), strict=True))
    noises = list(zip(*block(job, "return_noises"), strict=True))
    for band in range(8):
        assert levels[6][band] == -50
        assert levels[7][band] == pytest.approx(max(-50, arriving(-50, losses[band], noises[band]) - room[band]))
    made = block(job, "return_noises")
    assert made[1] == pytest.approx(spectrum("AIRFLOWNOISE", 30, 8, 6, "duct"))
    elbows = [level + 10 * math.log10(3) for level in spectrum("AIRFLOWNOISE", 30, 8, 6, "square elbow")]
    assert made[2] == pytest.approx(elbows)


def test_a_return_fan_is_heard_by_its_own_path():
    """Backward inclined, 45 dB at 125 Hz by Graham; 3 dB off its best point, 5 dB of margin."""
    job, values = leaving(OWN_FAN)
    fan = block(job, "return_fan_sound")[0]
    assert fan[1] == pytest.approx(45 + 10 * math.log10(30) + 20 * math.log10(values["return_loss"]) + 3 + 5)
    levels = at_the_seat(job)
    room = spectrum("ROOMLOSS", 3, 360, block(job, "seat_absorption"))
    losses = list(zip(*block(job, "return_losses"), strict=True))
    for band in range(8):
        heard = arriving(fan[band], losses[band], [])
        assert levels[6][band] == pytest.approx(max(-50, heard - room[band]))


def test_two_fans_set_alike_leave_the_room_without_pressure():
    job, values = leaving(OWN_FAN)
    assert [values[name] for name in ("room_supply", "room_extract")] == pytest.approx([30, 30])
    assert values["room_pressure"] == 0
    assert failing(job) == set()


@pytest.mark.parametrize("back", [20, 36])
def test_two_fans_come_into_balance_on_their_curves(back):
    """At the balance each fan's curve at its speed, its path and the room's pressure meet, and the leaks take the rest:
    Q = 0.83 A √Δp in SI, EN 12101-6."""
    job, values = leaving(OWN_FAN, return_airflow=back)
    points = [(0, 0.6), (30, 0.55), (60, 0.45), (90, 0.28), (120, 0)]

    def fan(flow, speed):
        (q1, p1), (q2, p2) = next(pair for pair in pairwise(points) if flow / speed <= pair[1][0])
        return (p1 + (p2 - p1) * (flow / speed - q1) / (q2 - q1)) * speed**2

    supply, extract, pressure = (values[name] for name in ("room_supply", "room_extract", "room_pressure"))
    path, out = values["path_loss"] / 30**2, values["return_loss"] / back**2
    assert fan(supply, values["fan_speed"]) - path * supply**2 == pytest.approx(pressure)
    assert fan(extract, values["return_fan_speed"]) - out * extract**2 == pytest.approx(-pressure)
    gap = (2 * (36 + 80) * 0.125 * 0.02) / math.sqrt(2) + values["holes_leak"]
    leak = 0.83 * gap * 0.0254**2 * math.sqrt(abs(pressure) * 249.08891) / 0.0004719474432
    assert abs(supply - extract) == pytest.approx(leak, rel=1e-5)
    assert (pressure > 0) is (supply > extract) is (back < 30)
    said = "Two fans: supply air left when both run"
    assert (said in failing(job)) is (back < 30)


def test_two_fans_are_the_usual_arrangement_and_both_are_priced(path, one_fan):
    fitted = [{line["Code"]: line for line in lines(job)}["FAN"] for job, _ in (path, one_fan)]
    assert [line["Quantity"] for line in fitted] == [2, 1]
    assert fitted[0]["Line cost"] == pytest.approx(2 * fitted[1]["Line cost"])
    assert path[1]["return_fan_alike"] == 1
    assert path[1]["price"] > one_fan[1]["price"]


CURVE = [(0, 0.6), (30, 0.55), (60, 0.45), (90, 0.28), (120, 0)]


def points(curve):
    return {
        f"return_fan_{what}_{number}": value
        for number, point in enumerate(curve, start=1)
        for what, value in zip(("flow", "pressure"), point, strict=True)
    }


def test_a_fan_out_typed_as_the_supply_fan_changes_nothing(path):
    typed = {
        "return_fan_type": "backward inclined",
        "return_fan_share": 0.85,
        "return_fan_margin": 5,
        "return_fan_collar": 4,
    }
    values = leaving(OWN_FAN, **typed, **points(CURVE))[1]
    for name in ("return_loss", "return_fan_speed", "room_pressure", "room_extract", "nc_all", "price"):
        assert values[name] == pytest.approx(path[1][name])


def test_a_fan_out_has_its_own_curve_and_kind():
    weaker = [(0, 0.3), (30, 0.28), (60, 0.22), (90, 0.14), (120, 0)]
    _, values = leaving(OWN_FAN, return_fan_type="tube axial", return_fan_margin=2, **points(weaker))
    assert values["return_fan_alike"] == 0
    full = call("FANFLOW", weaker, 30, values["return_loss"])
    assert values["return_fan_full_flow"] == pytest.approx(full)
    assert values["return_fan_speed"] == pytest.approx(30 / full)


def test_makers_figures_of_a_fan_out():
    """The supply fan's count for a fan like it; its own for any."""
    job, _ = made(**DRUMS)
    values = named(job)
    assert job.inputs["air_leaves"].value == OWN_FAN
    assert block(job, "return_fan_sound")[0] == pytest.approx([60 + 50 * math.log10(values["return_fan_speed"])] * 8)
    job, values = leaving(OWN_FAN, **SUPPLY_MAKERS, return_fan_type="tube axial", return_fan_margin=2)
    known = spectrum("FANSOUND", 30, values["return_loss"], "tube axial", 0.85)
    assert block(job, "return_fan_sound")[0] == pytest.approx([level + 2 for level in known])
    job, values = leaving(OWN_FAN, **{f"return_fan_sound_{hz}": 55 for hz in OCTAVES}, return_fan_type="tube axial")
    assert block(job, "return_fan_sound")[0] == pytest.approx([55 + 50 * math.log10(values["return_fan_speed"])] * 8)


def test_a_fan_out_that_is_too_weak_is_told():
    job, values = leaving(OWN_FAN, **points([(0, 0.03), (10, 0.028), (20, 0.02), (25, 0.01), (29, 0)]))
    assert values["return_fan_full_flow"] < 30
    assert "Fan of the way out at full speed against its airflow" in failing(job)


def test_a_collar_of_the_fan_out_counts_in_its_way():
    _, values = leaving(OWN_FAN, return_fan_collar=6)
    by_fan = call("TRANSITIONLOSS", 30, 8, 6, 6, None, 12) + call("FITTINGLOSS", 30, 6, None, "exit")
    assert values["return_loss"] == pytest.approx(0.01 + by_fan + duct_loss() + box_loss() + narrowing())
    assert values["speed_outlet"] == pytest.approx(call("DUCTVELOCITY", 30, 6))


def test_the_way_out_as_a_part_of_the_shell():
    """Its losses, 50 dB of them at most, and 10 log of the shell's area over the grille's."""
    for way, weaker in ((RETURN, False), (TRANSFER, True)):
        job, values = leaving(way)
        area = 2 * (9.75 + 7.75) * 8.5
        off = [min(50, sum(column)) for column in zip(*block(job, "return_losses"), strict=True)]
        gained = 10 * math.log10(area / (14 * 8 / 144))
        less = [loss + gained - own for loss, own in zip(off, block(job, "shell_loss")[0], strict=True)]
        assert values["way_out_less"] == pytest.approx(min(less[2:7]))
        assert ("Way out of the air: loss over the shell's, 250 to 4000 Hz" in failing(job)) is weaker


def test_a_ventilator_has_nothing_to_recover_without_a_return():
    said = "Recovery ventilator: the return goes through it"
    for way, fails in ((RETURN, False), (TRANSFER, True)):
        assert (said in failing(leaving(way, air_source="outdoors with recovery")[0])) is fails


@pytest.mark.parametrize("passes", [0, 2, 3])
def test_a_box_of_the_list_is_the_box_of_the_sheet(passes):
    shell = [["Gypsum board 5/8 in type X", None, 2]]
    head, *found = call("BAFFLEBOX", 30, 100, 8 if passes == 0 else 20, None, None, None, shell)
    row = next(row for row in found if row[0] == passes)
    box = dict(zip(head, row, strict=True))
    job = shipped("US")
    job.set({
        "baffle_passes": passes, "baffle_width": box["Passage width (in)"], "baffle_height": box["Passage height (in)"],
        "baffle_lining": box["Lining (in)"], "baffle_length": box["Outside length (in)"],
        "baffle_open_width": box["Outside width (in)"], "baffle_open_height": box["Outside height (in)"],
    })  # fmt: skip
    values = numbers(job)
    for name, heading in (
        ("baffle_outer_width", "Outside width (in)"), ("baffle_outer_height", "Outside height (in)"), ("baffle_mass", "Mass (lb)"),
        ("baffle_shell_area", "Shell area (ft²)"), ("baffle_board_area", "Baffle area (ft²)"),
        ("baffle_lining_area", "Lining area (ft²)"), ("speed_box", "Velocity (fpm)"),
    ):  # fmt: skip
        assert values[name] == pytest.approx(box[heading], rel=1e-6), name
    assert block(job, "path_losses")[3] == pytest.approx(list(row[7:15]))


# What an alternative changes, and what makes all of them in the job that is changed so what it has already.
ALTERNATIVES = [
    (1, {"duct_width": 10, "duct_height": 8}, {"alt_duct_width": 10, "alt_duct_height": 8, "alt_box_length": 72}),
    (2, {"baffle_length": 96}, {"alt_duct_width": 8, "alt_duct_height": 6, "alt_box_length": 96}),
]


@pytest.mark.parametrize("way", [RETURN, TRANSFER, OWN_FAN])
@pytest.mark.parametrize(("number", "changes", "alike"), ALTERNATIVES)
def test_an_alternative_is_what_the_estimate_becomes_with_it(number, changes, alike, way):
    before, after = leaving(way)[1], leaving(way, **changes, **alike, alt_fan_speed=1)[1]
    assert before[f"alternative_{number}_nc"] == pytest.approx(after["nc_all"])
    assert before[f"alternative_{number}_loss"] == pytest.approx(after["fan_system_loss"])
    assert before[f"alternative_{number}_price"] > 0


@pytest.mark.parametrize("way", [RETURN, TRANSFER, OWN_FAN])
@pytest.mark.parametrize(("changes", "alike"), [each[1:] for each in ALTERNATIVES])
def test_alternatives_alike_change_nothing(changes, alike, way):
    values = leaving(way, **changes, **alike, alt_fan_speed=1)[1]
    for each in (1, 2, 3):
        assert values[f"alternative_{each}_nc"] == pytest.approx(values["nc_all"])
        assert values[f"alternative_{each}_loss"] == pytest.approx(values["fan_system_loss"])
        assert values[f"alternative_{each}_price"] == pytest.approx(0)


def test_a_slower_fan_is_quieter_and_starves_the_people(path):
    job, values = path
    assert values["alternative_3_airflow"] == pytest.approx(24)
    assert values["alternative_3_nc"] < values["nc_all"]
    said = [row[0] for row in job.package.rows("Air path", Area(1, 2, 200, 2))]
    assert "Fan at 80% of its speed: too little air" in said


# --- the air over the day and its source ------------------------------------------------------------------------------


def test_co2_over_the_day(path):
    day = [[90, 2, 30, 190], [15, 0, 30, 190], [90, 2, 30, 190]]
    assert path[1]["co2_day"] == pytest.approx(call("SESSIONCO2", day, 360, None, "talking", 450, None, 74))


def test_blank_parts_of_the_day_follow_the_inputs():
    values = named(made(**MUSIC)[0])
    assert values["day_minutes"] == 225
    assert values["heat_day"] == pytest.approx(250 + 190 * 3.412142, rel=1e-6)


def test_air_from_outdoors_comes_through_the_ventilator():
    job, _ = made(**RECOVERING)
    values = named(job)
    found = call("RECOVERYAIR", 36, 0.8, 74, 0.45, 0.75, 0.5)[0]
    assert values["supply_temperature"] == pytest.approx(36 + 0.75 * (74 - 36))
    assert [values["supply_humidity"], values["condensation"]] == [pytest.approx(found[1]), found[3]]
    assert values["room_humidity"] == pytest.approx(
        call("ROOMHUMIDITY", 2, 30, found[0], found[1], 74, None, "talking")
    )
    assert values["room_dew_point"] == pytest.approx(call("DEWPOINT", 74, values["room_humidity"]))
    assert [line["Quantity"] for line in lines(job) if line["Code"] == "VENTILATOR"] == [1]


def test_the_cooling_that_holds_the_room(us):
    """What is given off inside, less what air and shell take at 70 °F next door; no load where they take it all."""
    carried = (1.08 * us["airflow"] + us["warm_shell"] / us["shell_resistance"]) * (74 - 70)
    assert us["cooling_load"] - us["cooling_moisture"] == pytest.approx(us["heat_gain"] - carried, rel=1e-6)
    assert us["cooling_moisture"] > 0
    job, _ = made(**MOUNTED)
    cold, said = named(job), [str(row[0]) for row in job.package.rows("Air", Area(1, 2, 60, 2))]
    assert any(words.startswith("No cooling needed on that day") for words in said)
    said = [str(row[0]) for row in shipped("US").package.rows("Air", Area(1, 2, 60, 2))]
    needed = f"{us['cooling_load']:,.0f} Btu/h of cooling to hold the room, {us['cooling_moisture']:,.0f} Btu/h of it"
    assert any(needed in words for words in said)
    assert not any("No cooling needed" in words for words in said)
    assert [cold["cooling_load"], cold["cooling_moisture"]] == ["none needed", "none needed"]


# The neighbouring room at 70 °F, the job's at 74 °F; 30 or 95 of 100 parts that the unit takes are heat.
DAMP = {"space_humidity": 0.6, "cooling_power": 5000, "exhaust_humidity": 0.5}


@pytest.mark.parametrize("share", [0.3, 0.95])
def test_a_cooling_unit_holds_the_humidity_only_where_it_takes_the_moisture_too(share):
    """A thermostat runs the unit for the heat: of moisture it then takes heat × (1 - share) / share, as any coil does
    (ASHRAE Handbook-Fundamentals, sensible heat ratio); it holds the room where that is the moisture reckoned or more.
    """
    job, report = made(**DAMP, cooling_share=share)
    values = named(job)
    moisture, heat = values["cooling_moisture"], values["cooling_load"] - values["cooling_moisture"]
    alone = call("ROOMHUMIDITY", 2, 30, 70, 0.6, 74, None, "talking")
    taken = heat * (1 - share) / share
    assert alone > values["humidity_limit"] > 0.5
    assert (taken >= moisture) is (share == 0.3)
    assert values["room_humidity"] == pytest.approx(0.5 if taken >= moisture else alone)
    assert values["cooling_needed"] == pytest.approx(max(heat + moisture, heat / share), rel=1e-6)
    failed = {check.rule for check in report.failed}
    assert ("Humidity of the room" in failed) is (taken < moisture)


def test_more_air_is_advised_only_where_it_is_drier():
    """At 70 °F and 60 % the air brings 0.0094 of moisture, at 70 % 0.0110; the room may hold 0.0107 at 74 °F and 60 %."""
    dry, damp = (
        {check.rule: check.advice for check in report.failed}["Humidity of the room"]
        for _, report in (made(**DAMP, cooling_share=0.95), made(space_humidity=0.7))
    )
    assert dry.startswith("More air, drier air, or a cooling unit with drain for ")
    assert damp.startswith("Not more air: it brings in more moisture than that. Drier air, or a cooling unit")


def test_a_cooling_that_is_not_known_is_not_called_none():
    """Cold air takes the heat here; an error in what the load is worked out from stays one all the same."""
    job = shipped("US")
    job.set({"space_temperature": 45})
    entry = job.inputs["people"]
    job.write({entry.sheet: {read_cell(entry.cell): Change("two")}})
    assert isinstance(numbers(job)["cooling_load"], ErrorValue)


def test_the_caution_tells_the_minutes_that_are_left(path):
    job, values = path
    said = [row[0] for row in job.package.rows("Air", Area(1, 2, 40, 2))]
    minutes = f"CO2 in {values['fan_off_minutes']:.0f} minutes"
    assert any(isinstance(text, str) and minutes in text for text in said)


# --- what the neighbour hears, and hearing tests ----------------------------------------------------------------------


def test_what_is_heard_next_door_and_outdoors(path):
    """Loud speech, louder in the room by 10 log(1 + 16π/R); 1000 ft³ of 0.5 s; the whole shell, ducts and boxes."""
    job, values = path
    outer, door = 2 * (9.75 + 7.75) * 8.5 - 20, 20
    room = spectrum("ROOMLOSS", "1 m", 360, block(job, "seat_absorption"), 1)
    speech = spectrum("SOURCELEVELS", "speech loud")
    loud = [level + 10 * math.log10(4 * math.pi) - off for level, off in zip(speech, room, strict=True)]
    assert block(job, "loud_inside")[0] == pytest.approx(loud)
    parts = [block(job, name)[0] for name in ("shell_loss", "out_of_supply", "out_of_way_out", "out_of_boxes")]
    losses = [-10 * math.log10(sum(10 ** (-loss / 10) for loss in each)) for each in zip(*parts, strict=True)]
    assert block(job, "shell_out_loss")[0] == pytest.approx(losses)
    absorbed = 24 * math.log(10) / 343.2 * 0.3048 * 1000 / 0.5
    heard = [
        level - loss + 10 * math.log10((outer + door) / absorbed) for level, loss in zip(loud, losses, strict=True)
    ]
    assert block(job, "next_levels")[0] == pytest.approx(heard, abs=1e-4)
    assert values["next_over"] == pytest.approx(
        max(map(float.__sub__, heard, map(float, spectrum("NCCURVE", 30)))), abs=1e-4
    )
    spread = 10 * math.log10((outer + door) / (2 * math.pi * 10**2))
    assert block(job, "outdoor_levels")[0] == pytest.approx(
        [level - 6 - loss + min(0, spread) for level, loss in zip(loud, losses, strict=True)]
    )


def test_sound_goes_out_by_the_boxes_as_it_comes_in(path):
    """Power through them over the power that a diffuse field brings to the shell: L - 6 + 10 log S, S in m²."""
    job, _ = path
    outside, comes_in = block(job, "source_outside")[0], at_the_seat(job)
    names = [row[0] for row in block(job, "heard_names")]
    room = spectrum("ROOMLOSS", 3, 360, block(job, "seat_absorption"))
    power = [
        level + off
        for level, off in zip(comes_in[names.index("Outside, through both boxes' shells")], room, strict=True)
    ]
    area = 2 * (9.75 + 7.75) * 8.5 * 0.3048**2
    met = [level - 10 * math.log10(4) + 10 * math.log10(area) for level in outside]
    assert block(job, "out_of_boxes")[0] == pytest.approx([a - b for a, b in zip(met, power, strict=True)])


@pytest.mark.parametrize(
    ("changes", "over", "worst"),
    [
        (DRUMS, "over", 63),
        (MUSIC, "over", 63),
        (RECOVERING, "under", None),
        (TESTING, "over", 1000),
    ],
)
def test_the_worst_octave_next_door_is_named(changes, over, worst):
    job, _ = made(**changes)
    values = named(job)
    assert (values["next_over"] > 0) is (over == "over")
    if worst:
        assert values["next_worst"] == worst
        advice = {row[0]: row[7] for row in block(job, "checks")}["Heard next door: worst octave over target"]
        assert advice.startswith(f"Worst at {worst} Hz, NC ")


IN_PART = [
    # one of several figures that count together alone, and the checks that wait for the others
    ({"next_noise_63": 40}, {"Heard next door: worst octave over target"}),
    ({"fan_sound_63": 70}, {"Heard at the seat, air and outside together"}),
    (
        {"return_fan_sound_8000": 70, "hearing_tests": "ANSI insert earphones"},
        {"Heard at the seat, air and outside together", "Hearing tests: level at the seat over the highest"},
    ),
]


@pytest.mark.parametrize(("changes", "waiting"), IN_PART)
def test_octaves_typed_in_part_wait_for_the_rest(changes, waiting):
    job = shipped("US")
    job.set({**JOB, **changes})
    assert unmet(job.calculate()) == dict.fromkeys(waiting, "waits")


def test_a_level_at_the_seat_that_waits_is_told_nowhere():
    job, _ = made(fan_sound_63=70)
    values = named(job)
    assert [values[name] for name in ("nc_all", "nc_all_most", "air_verdict")] == [""] * 3
    told = [" ".join(map(str, row)) for row in job.package.rows("Start", Area(1, 5, 60, 9))]
    assert not any("under the target too" in line for line in told)


@pytest.mark.parametrize(
    ("sheet", "label", "column", "rule"),
    [
        ("Isolation", "Shell, laboratory figure", 3, "Isolation of the room"),
        ("Room", "Treatment, laboratory figures", 5, "Reverberation, 500 Hz and up"),
    ],
)
@pytest.mark.parametrize("typed", [0.5, "0,5"])
def test_laboratory_figures_typed_in_part_wait_for_the_rest(sheet, label, column, rule, typed):
    job = shipped("US")
    job.set(JOB)
    row = next(r for r in range(1, 60) if job.package.value(sheet, r, 2) == label)
    job.package.write({sheet: {(row, column): Change(typed)}})
    assert unmet(job.calculate()) == {rule: "waits"}


def test_a_level_typed_is_that_of_the_room():
    assert together(*block(made(**LOUD)[0], "loud_inside")[0]) == pytest.approx(90)


def test_the_levels_for_hearing_tests_stand_beside_the_curve():
    job, _ = made(**TESTING)
    values = named(job)
    limits = [None, 35, 25, 21, 26, 34, 37, 37]
    assert block(job, "hearing_limits")[0] == ["none", *limits[1:]]
    curve = spectrum("NCCURVE", 25)
    assert block(job, "inside_target")[0] == [
        level if limit is None else min(level, limit) for level, limit in zip(curve, limits, strict=True)
    ]
    levels = [together(*column) for column in zip(*at_the_seat(job), strict=True)]
    over = [level - limit for level, limit in zip(levels, limits, strict=True) if limit is not None]
    assert values["test_over"] == pytest.approx(max(over))
    assert values["test_worst"] == (125, 250, 500, 1000, 2000, 4000, 8000)[over.index(max(over))]


def test_a_kind_of_test_that_no_table_holds_is_an_error_with_its_reason():
    job = shipped("US")
    job.set({"hearing_tests": "US workplace", "test_tone": "125 Hz"})
    report = job.calculate()
    assert any("a lowest test tone of 500 Hz" in error.reason for error in report.errors)
    assert {check.rule: check.state for check in report.checks}[
        "Hearing tests: level at the seat over the highest"
    ] == "error"


@pytest.mark.parametrize(
    ("target", "under"), [(45, ""), (52, "The low end of the range, {low:.0f}, is under the target of 52. ")]
)
def test_a_low_end_under_the_target_is_said_and_fails_nothing(target, under):
    job = shipped("US")
    job.set({**JOB, "stc_target": target})
    assert unmet(job.calculate()) == {}
    values = named(job)
    low = values["room_stc"] - values["stc_range"]
    assert (low < target) is bool(under)
    said = [str(value) for row in job.package.rows("Isolation", Area(1, 2, 40, 12)) for value in row]
    assert under.format(low=low) + "Say the range, not the bare number." in said


def test_what_all_together_may_be_off_follows_from_the_parts(us):
    """The propagation of independent uncertainties of ISO/IEC Guide 98-3, 5.1.2: each by what a change of it changes."""
    job = made(**JOB)[0]
    sheet = job.package.rows("Air path", Area(1, 2, 200, 14))
    first = next(n for n, row in enumerate(sheet) if row[0] == "Sound")
    last = next(n for n in range(first, len(sheet)) if sheet[n][0] == "All together")
    parts = [row for row in sheet[first + 2 : last] if row[4] != ""]
    reach = block(job, "band_reach")[0]
    for place in range(8):
        levels = [row[4 + place] for row in parts]
        off = [reach[place] if row[3] in (None, "") else row[3] for row in parts]

        def summed(changed, levels=levels):
            energies = (10 ** ((level + (0.001 if n == changed else 0)) / 10) for n, level in enumerate(levels))
            return 10 * math.log10(sum(energies))

        either = math.sqrt(sum(((summed(n) - summed(None)) / 0.001 * by) ** 2 for n, by in enumerate(off)))
        assert sheet[last + 1][4 + place] == pytest.approx(either, rel=1e-3)
    shell = next(row for row in parts if row[0] == "Outside, through the room's shell")
    most = [
        max(sheet[last][4 + place] + sheet[last + 1][4 + place], shell[4 + place] + reach[place]) for place in range(8)
    ]
    assert named(job)["nc_all_most"] == pytest.approx(call("NCRATING", [most]))


@pytest.mark.parametrize("changes", [JOB, SINGLE, UNSEALED, PLYWOOD], ids=["as told", "single", "unsealed", "plywood"])
def test_the_weakest_element_is_the_one_that_holds_the_rating_down(changes):
    """With that one a hundred times as tight the rating rises by no less than with any other."""
    job = made(**changes)[0]
    found = named(job)
    row = {line[0]: line[1:17] for line in job.package.rows("Isolation", Area(1, 2, 30, 18)) if line[0]}
    areas = {"shell and flanking": found["outer_wall_area"], "doors": found["door_area"]}
    through = {
        "shell and flanking": [
            areas["shell and flanking"] * 10 ** (-loss / 10) for loss in row["Shell and what flanks it"]
        ],
        "doors": [areas["doors"] * 10 ** (-loss / 10) for loss in row["Doors, with their gaps"]],
        "cable holes": [found["holes_leak"] / 144] * 16,
    }

    def rated(tight):
        whole = [
            sum(part[band] / (100 if name == tight else 1) for name, part in through.items()) for band in range(16)
        ]
        return call("STCRATING", [[-10 * math.log10(part / sum(areas.values())) for part in whole]])

    ratings = {name: rated(name) for name in through}
    assert ratings[found["room_weakest"]] == max(ratings.values())


ALTERED = [
    # What is told of the way of the air, and by how much the named row of it changes, from print.
    ({"inlet_straight": 0}, "1.2 of the velocity pressure: ASHRAE 1988, square elbow of radius 1, no straight duct"),
    ({"inlet_straight": 5}, "0.33 of the velocity pressure, five diameters of straight duct"),
]


@pytest.mark.parametrize(("changes", "source"), ALTERED, ids=[source for _, source in ALTERED])
def test_an_elbow_close_before_the_fan_takes_pressure(changes, source):
    """1.2 kg/m³ of air at the speed in the collar of 4 in; an inch of water is 249.089 Pa."""
    us = named(made(**JOB)[0])
    speed = us["airflow"] * 0.3048**3 / 60 / (math.pi / 4 * (4 * 0.0254) ** 2)
    added = float(source.split()[0]) * 1.2 * speed**2 / 2 / 249.089
    values = named(calculated("US", {**JOB, **changes})[0])
    assert values["fan_system_loss"] - us["fan_system_loss"] == pytest.approx(added, rel=0.01)


@pytest.mark.parametrize(
    ("changes", "place", "added"),
    [(UNSEALED, "neck", 15), (PLYWOOD, "plenum inlet", 5), (MOUNTED, "supply duct", 2)],
)
def test_a_damper_turned_down_adds_to_the_sound_of_the_grille(changes, place, added):
    """Three times the pressure of the open damper: ASHRAE Handbook, HVAC Applications 2019, ch. 49, table 10."""
    assert changes["damper_place"] == place
    job, damped = made(**JOB)[0], made(**changes)[0]
    open_row, row = (block(one, "path_noises")[4] for one in (job, damped))
    heard = [level for level, was in zip(row, open_row, strict=True) if was > 0]
    assert heard == pytest.approx([level + added for level in open_row if level > 0])


def test_mounts_near_the_turning_of_the_fan_fail():
    """√(9.80665 m/s² / 2.54 mm) / 2π = 9.9 Hz; well under a third of the turning mounts isolate (common practice)."""
    job, report = made(**MOUNTED)
    values = named(job)
    assert values["mount_frequency"] == pytest.approx(math.sqrt(9.80665 / 0.00254) / 2 / math.pi)
    assert (values["mount_frequency"] * 3 > 1750 / 60 * values["fan_speed"]) is (
        "Fan on its mounts: natural frequency over its turning" in {check.rule for check in report.failed}
    )


def test_air_that_is_too_fast_is_told_of_where_it_is():
    report = made(fan_collar=3)[1]
    speed = next(check for check in report.checks if check.rule == "Air speed anywhere")
    assert (speed.state, speed.advice.partition(":")[0]) == ("fails", "Fastest in the collar of the fan")


@pytest.mark.parametrize(("long", "state", "room"), [(72, "passes", 207), (96, "fails", (12.8 - 7.75) * 12 - 24)])
def test_boxes_have_the_room_before_a_wall_that_they_hang_on(long, state, room):
    """Before the end of 93 in there is more room, but only the side of 117 in takes boxes of 96 in."""
    job, report = made(space_length=30, space_width=12.8, space_height=12, baffle_length=long)
    assert numbers(job)["box_room"] == pytest.approx(room)
    assert next(check.state for check in report.checks if check.rule.startswith("Baffle boxes and")) == state


def test_nothing_is_reckoned_of_a_room_whose_size_is_not_known():
    job = shipped("US")
    sheet, area = next(found.cells for found in job.package.names if found.name == "room_length")
    job.package.write({sheet: {(area.first_row, area.first_column): Change("eight")}})
    report = job.calculate()
    assert [check.rule for check in report.checks if check.state == "fails"] == []
    known = {result.name for result in report.results if not isinstance(result.value, ErrorValue)}
    assert known.isdisjoint({"airflow", "fan_full_flow", "fan_speed", "uneven_bands", "price", "nc_all", "room_stc"})
    found = named(job)
    assert all(isinstance(found[name], ErrorValue) for name in ("room_humidity", "fan_pressure", "room_supply"))

"""The room conversion: its numbers against plain arithmetic and formula calls, its inputs and its checks."""

import math
from functools import cache, partial

import pytest

from stillbook.catalogue import call
from stillbook.cells import ErrorValue
from stillbook.quantities import SYSTEMS
from stillbook.templates.conversion.isolation import BANDS, FIRST_STC, STC
from stillbook.templates.shipped import template
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job
from templates import columns
from templates.columns import named, numbers
from templates.rules import unmet

NAME = "room-conversion"
shipped = partial(columns.shipped, NAME)

JOB = {
    "client": "Invented client",
    "project": "Invented room",
    "estimate_date": "2026-03-02",
    "floor_capacity": 40,
    "fresh_share": 1,
    "door_clear": 48,
}


def row_of(job, sheet, label, column=2):
    """The first row with that label."""
    return next(row for row in range(1, 130) if job.package.value(sheet, row, column) == label)


def losses(job, label):
    """The losses of a row of the Isolation sheet, by band; the summary above may have a row of the same name."""
    row = max(row for row in range(1, 130) if job.package.value("Isolation", row, 2) == label)
    return dict(zip(BANDS, (job.package.value("Isolation", row, 3 + n) for n in range(len(BANDS))), strict=True))


# Jobs that several tests ask: each is changed in things that have nothing to do with each other.
WALLS_AS_FOUND = {f"wall_{wall}_plan": "as it is" for wall in "abcd"}
REST_AS_FOUND = {"ceiling_plan": "as it is", "floor_plan": "as it is"}
ON_CLIPS = {"wall_board": "stays", "wall_fixing": "isolation clips", "ceiling_fixing": "isolation clips"}
HUNG = {"ceiling_fixing": "isolation clips", "ceiling_board": "comes off"}
ON_CHANNELS = {"wall_fixing": "resilient channels", "source_kind": "road traffic"}
LONGER = {"existing_length": "4 m", "window_width": 0}


@cache
def made(**changes):
    """A job and its report, calculated once."""
    job = shipped("US")
    job.set(changes)
    return job, job.calculate()


@pytest.fixture(scope="module")
def calculated():
    return made()[0]


@pytest.fixture(scope="module")
def us(calculated):
    return named(calculated)


# A room of 12 × 10 × 9 ft. Walls: 1/2 in board (1.6 lb/ft²) each side of 3-1/2 in studs; the board on the room's side
# comes off. New leaf: two 5/8 in boards (2.2 lb/ft² each) on 3-1/2 in frames, 1 in from what stands. Ceiling: new joists
# of 5-1/2 in under the old board. Deck: two sheets of 3/4 in plywood (2.2 lb/ft²) on 1/2 in underlay. Arithmetic by hand.
WALL = 1.25 + 4.5 - 0.5
LENGTH, WIDTH = 12 - 2 * WALL / 12, 10 - 2 * WALL / 12
HEIGHT = 9 - (1.25 + 6.5 + 1.5 + 0.5) / 12
SURFACES = [
    ("wall_far_mass", 1.6),
    ("wall_near_mass", 1.6),
    ("outer_mass", 1.6),
    ("inner_mass", 4.4),
    ("deck_mass", 4.4),
    ("wall_leaves", 2),
    ("ceiling_leaves", 3),
    ("wall_new_gap", 3.5 + 1),
    ("ceiling_new_gap", 5.5 + 1),
    ("cavity", 3.5 + 4.5),
    ("ceiling_cavity", 6.5),
    ("wall_depth", WALL),
    ("ceiling_depth", 7.75),
    ("floor_depth", 2.0),
    ("room_length", LENGTH),
    ("room_width", WIDTH),
    ("room_height", HEIGHT),
    ("floor_area", LENGTH * WIDTH),
    ("floor_lost", 120 - LENGTH * WIDTH),
    ("floor_share", LENGTH * WIDTH / 120),
    ("room_volume", LENGTH * WIDTH * HEIGHT),
    ("door_area", 20.0),
    ("window_area", 12.0),
    ("wall_found_area", 2 * (12 + 10) * 9 - 32),
    ("wall_new_area", 2 * (12 + 10) * 9 - 32),
    ("wall_old_area", 0),
    ("ceiling_found_area", 120),
    ("lined_wall_area", 2 * (LENGTH + WIDTH) * HEIGHT - 32),
    ("lined_area", 2 * (LENGTH + WIDTH) * HEIGHT - 32 + LENGTH * WIDTH),
    ("lined_run", 2 * (LENGTH + WIDTH)),
    ("envelope_area", 2 * 22 * 9 + 120),
    ("inner_door_least", math.ceil(4.4 * 20 * 1.05)),
    ("inner_door_mass", 60 + 2.2 * 20),
    ("airflow_code", (10 * 2 + 0.06 * LENGTH * WIDTH) / 0.8),
]


@pytest.mark.parametrize(("name", "value"), SURFACES)
def test_a_number_is_what_plain_arithmetic_gives(us, name, value):
    assert us[name] == pytest.approx(value, rel=1e-6, abs=1e-9)


def test_the_load_added_adds_up(us):
    walls, floor = us["lined_wall_area"], us["floor_area"]
    leaf = 4.4 + 0.624 + 1.2
    pane = call("SURFACEMASS", "Laminated glass 12.76 mm")
    old_door = call("SURFACEMASS", "Hollow-core door slab 1-3/4 in")
    doors = us["doors_mass"] - 20 * old_door
    old_board = 1.6 * us["wall_found_area"]
    whole = (
        leaf * (walls + floor)
        + 4.4 * floor
        + 12 * pane
        + doors
        - old_board
        + 1.5 * (115 + 42)
        + 2 * us["baffle_mass"]
        + 60
        + 200
    )
    assert us["floor_mass"] == pytest.approx(whole, rel=1e-3)
    assert us["hung_mass"] == 0
    assert us["floor_load"] == pytest.approx(us["floor_mass"] / 120)
    assert us["wall_line_load"] == pytest.approx(leaf * (walls + floor) / us["lined_run"], rel=1e-3)


def test_a_ceiling_on_clips_hangs_from_the_structure_above():
    found = named(made(**HUNG)[0])
    assert found["hung_mass"] == pytest.approx((4.4 + 0.624 + 1.2) * found["floor_area"] - 1.6 * 120, rel=1e-3)
    assert found["ceiling_load"] == pytest.approx(found["hung_mass"] / 120)
    assert found["ceiling_new_gap"] == 1.625
    assert found["room_height"] == pytest.approx(9 - (1.25 + 1.625 - 0.5 + 2) / 12)


BOARD, NEW_LEAF = "Gypsum board 1/2 in", [["Gypsum board 5/8 in type X", None, 2]]
UNIT = ("Glass 4 mm", "Glass 4 mm")
PANE = "Laminated glass 12.76 mm"
WALL_AREA = 2 * (12 + 10) * 9 - 32
LOSSES = [
    ("Walls as found", ("WALLTL", BOARD, BOARD, 3.5, "empty", "wood studs", 16, "{hz}", WALL_AREA)),
    (
        "Walls: old board stays, 3 leaves",
        ("THREELEAFTL", BOARD, BOARD, NEW_LEAF, 3.5, 4.5, "empty", "filled", "wood studs", "separate frames", 16, 16, "{hz}", WALL_AREA),
    ),
    ("Walls: old board off, 2 leaves", ("WALLTL", BOARD, NEW_LEAF, 8, "filled", "separate frames", 16, "{hz}", WALL_AREA)),
    ("Walls with a new leaf", ("WALLTL", BOARD, NEW_LEAF, 8, "filled", "separate frames", 16, "{hz}", WALL_AREA)),
    ("Ceiling as found", ("WALLTL", "Plywood 3/4 in", BOARD, 9.25, "empty", "resilient channels", 16, "{hz}", 120)),
    (
        "Ceiling",
        ("THREELEAFTL", "Plywood 3/4 in", BOARD, NEW_LEAF, 9.25, 6.5, "empty", "filled", "resilient channels", "separate frames", 16, 16, "{hz}", 120),
    ),
    ("Window as found", ("WALLTL", *UNIT, 0.5, "empty", "window frame", 36, "{hz}", 12)),
    (
        "Window with its new pane",
        ("THREELEAFTL", *UNIT, PANE, 0.5, 6, "empty", "empty", "window frame", "separate frames", 36, None, "{hz}", 12),
    ),
    ("Door as found, with its gaps", ("DOORTL", "Hollow-core door slab 1-3/4 in", 36, 80, 0.25, 0, "{hz}")),
]  # fmt: skip


@pytest.mark.parametrize(("label", "ask"), LOSSES)
def test_a_loss_is_what_the_formula_gives_on_the_inputs(calculated, label, ask):
    for hz, loss in losses(calculated, label).items():
        expected = call(*(hz if part == "{hz}" else part for part in ask))
        assert loss == pytest.approx(expected[0][0] if isinstance(expected, list) else expected), hz


def test_the_room_is_the_area_weighted_sum_of_what_its_elements_pass(us, calculated):
    elements = [
        ("Walls with a new leaf", us["wall_new_area"]),
        ("Ceiling", 120),
        ("Window with its new pane", 12),
        ("Doors, with their gaps", 20),
    ]
    for hz, loss in losses(calculated, "Room converted, cable holes with it").items():
        passed = sum(area * 10 ** (-losses(calculated, label)[hz] / 10) for label, area in elements)
        passed += us["envelope_area"] * 10 ** (-65 / 10) + us["holes_leak"] / 144
        assert loss == pytest.approx(-10 * math.log10(passed / us["envelope_area"]), abs=0.02), hz


def test_the_estimate_in_one_formula_is_the_same_as_row_by_row(calculated):
    room = losses(calculated, "Room converted, cable holes with it")
    row = row_of(calculated, "Isolation", "Room converted, cable holes with it")
    changes = row_of(calculated, "Isolation", "As planned")
    in_one = [calculated.package.value("Isolation", changes, 3 + n) for n in range(len(BANDS))]
    assert in_one == pytest.approx(list(room.values()), abs=0.02)
    spectrum = [list(room.values())[FIRST_STC - 3 :]]
    assert calculated.package.value("Isolation", row, STC) == call("STCRATING", spectrum)


def test_the_range_stands_around_the_rating(us):
    assert us["stc_from_to"] == f"{us['room_stc'] - us['stc_range']:.0f} to {us['room_stc'] + us['stc_range']:.0f}"
    assert us["stc_range"] == call("RATINGUNCERTAINTY", "pair of doors")
    assert us["room_weakest"] == "doors"


def words(job):
    """The sentence on what the plan for the old wall board does."""
    texts = (job.package.value("Isolation", row, 2) for row in range(1, 40))
    return next(text for text in texts if isinstance(text, str) and text.upper().startswith(("WALLS:", "WARNING")))


def test_clips_over_the_old_board_are_warned_of_and_fail():
    job, report = made(**ON_CLIPS)
    failed = {check.rule for check in report.failed}
    assert "Walls: lost to a middle cavity, 63 to 160 Hz" in failed
    off, stays = (losses(job, f"Walls: old board {plan}") for plan in ("off, 2 leaves", "stays, 3 leaves"))
    lost = max(off[hz] - stays[hz] for hz in (63, 80, 100, 125, 160))
    assert lost > 3
    assert words(job).startswith("WARNING, walls: over the old board the new leaf makes three leaves")
    assert f"up to {lost:.0f} dB less" in words(job)
    assert "Better: take the old board off; it also gives back 0.5 in." in words(job)
    assert f"± {call('RATINGUNCERTAINTY', 'isolation clips'):.0f}" == f"± {named(job)['walls_range']:.0f}"


PLANS = [
    ({}, "the old board comes off, so that two leaves share one deep cavity"),
    (
        {"wall_board": "stays", "wall_far_material_1": "Plywood 3/4 in", "wall_gap": 9.25, "frame_gap": 6},
        "the old board stays: three leaves",
    ),
    ({"wall_found": "Brick, one leaf, bare"}, "one leaf as found; with the new one they become two."),
    (WALLS_AS_FOUND, "left as found."),
]


@pytest.mark.parametrize(("changes", "text"), PLANS)
def test_each_plan_for_the_old_board_is_said_in_words(changes, text):
    job, report = made(**changes)
    assert report.errors == ()
    assert text in words(job)


def test_a_heavy_wall_of_one_leaf_has_its_lining_by_the_standard_beside_it():
    job = shipped("SI")
    job.set({"wall_found": None, "wall_far_material_1": "Clay brick 4 in"})
    found = numbers(job)
    row = row_of(job, "Isolation", "Walls as found")
    bare = job.package.value("Isolation", row, STC + 1)
    heavy = call("SURFACEMASS", "Clay brick 4 in", "SI")
    lining = [["Gypsum board 1/2 in", None, 1, 20.4]]
    assert found["lining_gain"] == pytest.approx(call("LININGGAIN", heavy, lining, 89 + 25, bare, "SI"))
    assert found["wall_leaves"] == 2


# Each job is changed in things that have nothing to do with each other.
CHANGES = [
    (
        {"wall_board": "stays", "floor_plan": "as it is", "window_width": 0},
        {
            "cavity": 4.5,
            "outer_mass": 3.2,
            "room_width": 10 - 2 * 5.75 / 12,
            "room_height": 9 - 7.75 / 12,
            "envelope_area": 516.0,
            "wall_found_area": 376.0,
        },
    ),
    (
        {"wall_b_plan": "as it is", "ceiling_plan": "as it is"},
        {"room_length": 12 - WALL / 12, "wall_old_area": 90.0, "lined_ceiling_area": 0},
    ),
    (ON_CHANNELS, {"wall_new_gap": 1.625}),
    (LONGER, {"room_length": 4 / 0.3048 - 2 * WALL / 12}),
]


@pytest.mark.parametrize(
    ("changes", "name", "value"),
    [(changes, name, value) for changes, moved in CHANGES for name, value in moved.items()],
)
def test_an_input_changed_moves_what_depends_on_it(changes, name, value):
    assert named(made(**changes)[0])[name] == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_shipped_estimate_waits_for_its_client_and_fails_nothing(system):
    report = made()[1] if system == "US" else shipped(system).calculate()
    assert unmet(report) == dict.fromkeys(
        (
            "Client, project and date are filled in",
            "Load added to the floor",
            "Outer door opens in the space before it",
            "Baffle boxes and their service find room",
            "Air: outdoor air in it, at least the outdoor air table's",
        ),
        "waits",
    )
    job = shipped(system)
    job.set({**JOB, "floor_capacity": "40 lb/ft²", "door_clear": "4 ft", "box_clear": "4 ft"})
    assert unmet(job.calculate()) == {}


def taken(job, code):
    """The quantity of a code on the Take-off sheet."""
    return job.package.value("Take-off", row_of(job, "Take-off", code), 8)


def cost(job, code):
    """What the line of a code costs."""
    return columns.values(job, "line_cost")[columns.values(job, "line_codes").index(code)]


def test_what_comes_off_is_taken_off_and_priced(us, calculated):
    assert taken(calculated, "STRIP") == math.ceil(us["wall_found_area"])
    assert taken(calculated, "PANE") == 12
    job, _ = made(**HUNG)
    assert taken(job, "STRIP") == math.ceil(us["wall_found_area"] + 120)
    each = cost(calculated, "STRIP") / taken(calculated, "STRIP")
    assert cost(job, "STRIP") == pytest.approx(taken(job, "STRIP") * each, rel=1e-3)
    assert each > 0


# One clip on 8 ft², channels 24 in apart (common practice, no source), 10 % waste.
CLIPS = [
    ("CLIP", lambda area: math.ceil(area / 8 * 1.1)),
    ("CHANNEL", lambda area: math.ceil(area / 2 * 1.1)),
    ("STUD", lambda _area: 0),
    ("PLATE", lambda _area: 0),
]


@pytest.mark.parametrize(("code", "quantity"), CLIPS)
def test_clips_take_the_place_of_frames(code, quantity):
    job, _ = made(**ON_CLIPS)
    found = named(job)
    assert taken(job, code) == quantity(found["lined_area"])


PARTS = {
    "walls only": REST_AS_FOUND,
    "ceiling only": WALLS_AS_FOUND,
    "nothing": {**WALLS_AS_FOUND, **REST_AS_FOUND},
    "no window": LONGER,
}


@pytest.mark.parametrize("plan", PARTS)
def test_a_conversion_of_part_of_the_room_has_no_error(plan):
    assert made(**PARTS[plan])[1].errors == ()


def test_what_a_job_does_not_have_is_not_asked():
    rules = {
        "Cavity behind the new wall leaf": WALLS_AS_FOUND,
        "Resonance of the leaves": WALLS_AS_FOUND,
        "Dip of the inner leaf": PARTS["nothing"],
        "Span of the ceiling joists": ON_CLIPS,
        "What comes off is a board, not masonry": ON_CLIPS,
    }
    asked = {check.rule for check in made()[1].checks}
    for rule, changes in rules.items():
        assert rule in asked
        assert rule not in {check.rule for check in made(**changes)[1].checks}, rule


def test_a_laboratory_figure_replaces_the_prediction_of_the_walls(tmp_path):
    path = tmp_path / "lab.xlsx"
    path.write_bytes(template("room-conversion").path("US").read_bytes())
    job = Job.open(path)
    row = row_of(job, "Isolation", "Walls, laboratory figures")
    job.package.write({"Isolation": {(row, FIRST_STC + band): Change(40.0) for band in range(16)}})
    report = job.calculate()
    found = named(job)
    assert found["lab_used"] == 1
    assert job.package.value("Isolation", row_of(job, "Isolation", "Walls with a new leaf"), 6) == 40
    assert {loss for hz, loss in losses(job, "Walls with a new leaf").items() if hz >= 125} == {40.0}
    assert found["stc_range"] == 2
    assert "Laboratory figures name their report" in {check.rule for check in report.checks if check.state == "waits"}


@pytest.mark.parametrize("column", [3, 20])
def test_laboratory_figures_typed_in_part_wait_for_the_rest(column):
    """At 50 Hz, which counts beside the sixteen alone, and at 2500 Hz, one of them."""
    job = shipped("US")
    job.package.write({"Isolation": {(row_of(job, "Isolation", "Walls, laboratory figures"), column): Change(40.0)}})
    states = {check.rule: check.state for check in job.calculate().checks}
    assert states["Isolation of the room"] == "waits"


def test_next_door_hears_the_whole_envelope(us, calculated):
    """The level in the room less the loss outwards, with 10 log of the envelope over 1000 ft³ of 0.5 s next door."""

    def octaves(label):
        row = row_of(calculated, "Isolation", label)
        return [calculated.package.value("Isolation", row, 3 + place) for place in range(8)]

    absorbed = 24 * math.log(10) / 343.2 * 0.3048 * 1000 / 0.5
    gained = 10 * math.log10(us["envelope_area"] / absorbed)
    loud, out = octaves("Its level in this room"), octaves("Transmission loss, ducts with it")
    heard = [level - loss + gained for level, loss in zip(loud, out, strict=True)]
    assert octaves("Level next door") == pytest.approx(heard, abs=1e-4)
    assert us["next_over"] < 0 < us["return_fan_speed"]


TRAFFIC = (103, 102, 101, 98, 97, 95, 94, 93, 93, 91, 90, 89, 89, 88, 88, 87, 85, 84)
A_WEIGHTS = (-22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8, -3.2, -1.9, -0.8, 0, 0.6, 1.0, 1.2, 1.3, 1.2, 1.0)
"""The source of ASTM E1332 and the A-weights of IEC 61672-1, 80 to 4000 Hz; together 100.13 dB(A), as the standard says."""


def test_against_traffic_the_room_is_rated_as_an_outside_wall(calculated):
    """OITC = 100.13 - 10 log of the A-weighted traffic let through."""
    job, _ = made(**ON_CHANNELS)

    def oitc(label):
        losses_80 = [loss for hz, loss in losses(job, label).items() if hz >= 80]
        passed = sum(
            10 ** ((level + a - loss) / 10) for level, a, loss in zip(TRAFFIC, A_WEIGHTS, losses_80, strict=True)
        )
        return round(100.13 - 10 * math.log10(passed))

    assert sum(10 ** ((level + a) / 10) for level, a in zip(TRAFFIC, A_WEIGHTS, strict=True)) == pytest.approx(
        10**10.013, rel=1e-3
    )
    said, other = (
        one.package.value("Isolation", row_of(one, "Isolation", "Room, STC"), 8) for one in (job, calculated)
    )
    found, planned = oitc("Room as found"), oitc("Room converted, cable holes with it")
    assert said.endswith(f"Against road traffic OITC, by ASTM E1332, {found} as found, {planned} converted.")
    assert other and "OITC" not in other


def test_what_is_heard_through_a_wall_that_is_not_known_is_an_error_and_no_rating():
    job = shipped("US")
    sheet, area = next(found.cells for found in job.package.names if found.name == "wall_found")
    job.package.write({sheet: {(area.first_row, area.first_column): Change("Two board on their frame")}})
    report = job.calculate()
    heard = {"nc_inside", "next_over", "outdoor_over", "nc_all", "nc_all_most", "air_verdict", "next_dntw", "room_dntw"}
    assert all(isinstance(result.value, ErrorValue) for result in report.results if result.name in heard)
    assert isinstance(named(job)["nc_inside_most"], ErrorValue)
    assert [check.state for check in report.checks if check.rule.startswith("Heard")] == ["error"] * 4

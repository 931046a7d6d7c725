"""Constructions as found, chosen by name: each name against its layers, own layers, and what reads them."""

from functools import cache
from typing import Any, NamedTuple

import pytest

from stillbook.catalogue import call
from stillbook.quantities import SYSTEMS
from stillbook.workbook.file.address import Area
from stillbook.workbook.job.inputs import InputError
from templates import columns
from templates.columns import named, numbers, shipped, values
from templates.rules import assert_unknown_is_an_error

NAME = "room-conversion"
BANDS = (50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000)

HALF, THICK = "Gypsum board 1/2 in", "Gypsum board 5/8 in type X"
BRICK, BLOCK, FOUR = (
    "Clay brick 4 in",
    "Hollow concrete masonry 6 in 105 pcf",
    "Hollow concrete masonry 4 in 105 pcf",
)
PLASTER = "Gypsum plaster with sand"

# Each name with its layers, far and near, and its cavity. Mass of the far leaf in lb/ft², by ASCE/SEI 7 commentary
# tables C3-1 and C3-2 as the table of materials cites them, but boards by ASTM C1396 products' usual weights: half-inch
# board 1.6, 5/8 in type X 2.2, 4 in brick 39, 6 in hollow block of 105 pcf 24, plaster with sand 10 for an inch (5 for a
# half), concrete 72 for 6 in (12 for an inch), screed of 2000 kg/m³ 20.8 for 2 in; plywood and OSB by APA: 2.2 and 2.5.
FOUND = {
    "Wood studs, one board each side": ([(HALF, None, 1)], [(HALF, None, 1)], (3.5, "empty", "wood studs", 16), 1.6),
    "Wood studs, two boards each side": ([(HALF, None, 2)], [(HALF, None, 2)], (3.5, "empty", "wood studs", 16), 3.2),
    "Steel studs, one board each side, wool": (
        [(THICK, None, 1)],
        [(THICK, None, 1)],
        (3.625, "filled", "steel studs", 24),
        2.2,
    ),
    "Steel studs, two boards each side, wool": (
        [(THICK, None, 2)],
        [(THICK, None, 2)],
        (3.625, "filled", "steel studs", 24),
        4.4,
    ),
    "Lath and plaster on wood studs": (
        [(PLASTER, 0.75, 1)],
        [(PLASTER, 0.75, 1)],
        (3.5, "empty", "wood studs", 16),
        7.5,
    ),
    "Brick, one leaf, bare": ([(BRICK, None, 1)], [], None, 39),
    "Brick, one leaf, plastered inside": ([(PLASTER, 0.5, 1), (BRICK, None, 1)], [], None, 44),
    "Block, plastered both sides": ([(PLASTER, 0.5, 1), (BLOCK, None, 1), (PLASTER, 0.5, 1)], [], None, 34),
    "Brick and block with a cavity": ([(BRICK, None, 1)], [(FOUR, None, 1)], (2, "empty", "wall ties", None), 39),
    "Timber floor, ceiling on channels": (
        [("Plywood 3/4 in", None, 1)],
        [(HALF, None, 1)],
        (9.25, "empty", "resilient channels", 16),
        2.2,
    ),
    "Timber floor, ceiling on joists": (
        [("OSB 3/4 in", None, 1)],
        [(HALF, None, 1)],
        (9.25, "empty", "wood studs", 16),
        2.5,
    ),
    "Concrete slab": ([("Concrete 6 in", None, 1)], [], None, 72),
    "Concrete slab with screed": ([("Concrete 6 in", None, 1), ("Floor screed", 2, 1)], [], None, 72 + 20.8),
}
OWN = "Own layers, typed below"


def losses(job, label):
    """The losses of a row of the Isolation sheet, by band."""
    row = max(row for row in range(1, 130) if job.package.value("Isolation", row, 2) == label)
    return [job.package.value("Isolation", row, 3 + n) for n in range(len(BANDS))]


def predicted(far, near, cavity, area):
    """The losses of a construction by the formulas, from its layers."""
    far, near = ([list(layer) for layer in leaf] for leaf in (far, near))
    if not near:
        return call("LEAFTL", far, list(BANDS), None, area, "US")[0]
    return call("WALLTL", far, near, *cavity, list(BANDS), area, "US")[0]


def typed(place, far, near, cavity, name):
    """The inputs that say the same layer by layer, without the name of a construction."""
    changes = {f"{place}_found": name}
    for side, leaf in (("far", far), ("near", near)):
        for number, (material, thickness, count) in enumerate(leaf, start=1):
            changes |= {
                f"{place}_{side}_material_{number}": material,
                f"{place}_{side}_thickness_{number}": thickness,
                f"{place}_{side}_count_{number}": count,
            }
    for part, value in zip(("gap", "fill", "framing", "spacing"), cavity or (None,) * 4, strict=True):
        changes[f"{place}_{part}"] = value
    return changes


def test_the_list_offers_these_names_and_own_layers():
    job = shipped(NAME, "US")
    assert job.inputs["wall_found"].spec.choices == job.inputs["ceiling_found"].spec.choices == (*FOUND, OWN)
    assert shipped(NAME, "SI").inputs["wall_found"].spec.choices == (*FOUND, OWN)


class Said(NamedTuple):
    """What a job says: named cells, errors, states of the checks, and losses of its walls and its ceiling as found."""

    named: dict[str, Any]
    errors: tuple[Any, ...]
    states: dict[str, str]
    walls: list[float]
    ceiling: list[float]


def said(system, changes):
    job = shipped(NAME, system)
    job.set(changes)
    report = job.calculate()
    states = {check.rule: check.state for check in report.checks}
    return Said(named(job), report.errors, states, losses(job, "Walls as found"), losses(job, "Ceiling as found"))


@cache
def chosen(name, system="US", board="comes off"):
    """With one name for walls and ceiling, calculated once for all that ask it; without the workbooks, too large to hold."""
    return said(system, {"wall_found": name, "ceiling_found": name, "wall_board": board})


def test_the_board_of_a_wall_comes_off_as_shipped():
    assert {shipped(NAME, system).inputs["wall_board"].value for system in SYSTEMS} == {"comes off"}


@pytest.mark.parametrize("name", FOUND)
def test_a_name_stands_for_its_layers(name):
    far, near, cavity, mass = FOUND[name]
    found, errors, _, walls, ceiling = chosen(name, board="stays")
    assert errors == ()
    assert found["wall_far_mass"] == pytest.approx(mass, rel=0.02)
    assert found["wall_leaves"] == found["ceiling_leaves"] == (3 if near else 2)
    assert walls == pytest.approx(predicted(far, near, cavity, found["wall_found_area"]))
    assert ceiling == pytest.approx(predicted(far, near, cavity, found["ceiling_found_area"]))


@pytest.mark.parametrize(("name", "without"), [(name, (None, OWN)[place % 2]) for place, name in enumerate(FOUND)])
def test_the_same_layers_typed_come_to_the_same(name, without):
    far, near, cavity, mass = FOUND[name]
    layers = typed("wall", far, near, cavity, without) | typed("ceiling", far, near, cavity, without)
    own = said("US", layers | {"wall_board": "stays"})
    assert own.errors == ()
    assert own.named["wall_far_mass"] == pytest.approx(mass, rel=0.02)
    by_name = chosen(name, board="stays").named
    for result in ("price", "room_stc", "floor_load", "nc_all", "wall_drawn_thickness", "least_low_gain", "cavity"):
        assert own.named[result] == pytest.approx(by_name[result], rel=1e-9), result
    assert (own.named["wall_found_stands"], by_name["wall_found_stands"]) == ("own layers", "as chosen")


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", [*FOUND, OWN])
def test_every_name_calculates_in_both_systems(name, system):
    found, errors, *_ = chosen(name, system)
    assert [error for error in errors if "blank" not in error.reason and "comes from" not in error.reason] == []
    assert bool(errors) == (name == OWN)
    assert found["wall_found_stands"] == ("none chosen" if name == OWN else "as chosen")


@pytest.mark.parametrize("system", SYSTEMS)
def test_no_least_mass_is_asked_of_doors_and_boxes_beside_masonry(system):
    """No door of 200 lb, on 20 ft² 10 lb/ft², matches a leaf of masonry: its doors are judged by what they pass, as boxes are
    at the seat; common practice, no source.
    """
    door, box = "Door: outer door reaches its mass", "Baffle box: loss of its shell over the leaf's it stands on"
    for name, layers in FOUND.items():
        found, _, states, *_ = chosen(name, system, board="stays" if system == "US" else "comes off")
        if layers[-1] > 10:
            assert not {door, box} & states.keys(), name
            assert found["outer_door_least"] == "not asked", name
            assert found["single_door_least"] == found["inner_door_least"] > 0, name
            off = {"What comes off is a board, not masonry"} if system == "SI" and layers[1] else set()
            assert {rule for rule, state in states.items() if state == "fails"} == off, name
        else:
            assert box in states, name
        assert states["Sound through the doors, of all"] == "passes", name
        assert states["Door: inner door, or the single one, reaches its mass"] == "passes", name


def test_the_names_stand_for_the_same_in_both_systems():
    """A board of 1/2 in and one of 12.5 mm, a brick of 4 in and one of 102 mm: like masses, within a tenth."""
    for name in FOUND:
        us, si = (chosen(name, system).named for system in SYSTEMS)
        if "lock" not in name and "floor" not in name:  # blocks and floors are of the trade of either country
            assert si["wall_far_mass"] == pytest.approx(us["wall_far_mass"] / 0.3048**2 * 0.45359237, rel=0.1), name
        assert us["wall_leaves"] == si["wall_leaves"]


ONE = "Wood studs, one board each side"
GAPPED = {"wall_found": ONE, "wall_gap": 6, "ceiling_found": None, "ceiling_far_material_1": "Concrete 6 in"}
WINS = [
    ({"wall_found": ONE, "wall_near_count_1": 3}, "wall_near_mass", 4.8),
    ({"wall_found": ONE, "wall_near_material_1": "Plywood 3/4 in"}, "wall_near_mass", 2.2),
    ({"wall_found": "Wood studs, two boards each side", "wall_far_material_1": HALF}, "wall_far_mass", 1.6),
    ({"wall_found": ONE, "wall_near_material_2": HALF}, "wall_near_mass", 3.2),
    ({"wall_found": "Lath and plaster on wood studs", "wall_far_material_1": HALF}, "wall_far_thickness", 0.5),
    ({"wall_found": "Lath and plaster on wood studs", "wall_far_thickness_1": 1}, "wall_far_thickness", 1),
    ({"wall_found": "Brick, one leaf, bare", "wall_near_material_1": HALF, "wall_gap": 2, "wall_framing": "wall ties"}, "cavity", 6.5),
    (GAPPED, "cavity", 4.5 + 6),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "result", "value"), WINS)
def test_own_layers_win_cell_by_cell(changes, result, value):
    job, report = columns.calculated(NAME, "US", changes)
    assert report.errors == ()
    assert named(job)[result] == pytest.approx(value, rel=0.01)
    assert named(job)["wall_found_stands"] == "own layers"


def layers_told(job):
    """What the scope tells of the layers, line by line."""
    return [words for words in values(job, "layers_words") if words]


def test_own_layers_are_told_on_the_pages():
    job, _ = columns.calculated(NAME, "US", GAPPED)
    told = layers_told(job)
    assert told[:5] == [
        "Walls as found, layers told one by one:",
        "– far side: 1 × Gypsum board 1/2 in",
        "– room side: 1 × Gypsum board 1/2 in, cavity 6 in, wood studs",
        "Ceiling as found, layers told one by one:",
        "– far side: 1 × Concrete 6 in",
    ]


def test_a_construction_of_ones_own_is_put_in_the_list_and_chosen_at_once():
    job = shipped(NAME, "US")
    job.set({"found_names_15": "Own block", "found_far_material_1_15": "Concrete 4 in", "wall_found": "Own block"})
    found = numbers(job)
    assert found["wall_far_mass"] == pytest.approx(48, rel=0.01)  # 12 lb/ft² for an inch: ASCE/SEI 7, table C3-1
    assert found["wall_leaves"] == 2
    assert found["wall_found_stands"] == "as chosen"


def test_a_construction_that_the_list_lacks_is_refused_and_where_typed_an_error_that_names_it():
    job = shipped(NAME, "US")
    for place in ("wall", "ceiling"):
        message = f'{place}_found "No such wall" is not known: give one of "Wood studs, one board each side"'
        with pytest.raises(InputError, match=message):
            job.set({f"{place}_found": "No such wall"})
    assert_unknown_is_an_error(job, "wall_found", "No such wall")


@pytest.mark.parametrize(
    "changes",
    [
        {"wall_found": None},
        {"wall_found": None, "wall_far_material_1": HALF, "wall_near_material_1": HALF},
    ],
)
def test_with_neither_name_nor_layers_or_no_cavity_the_checks_wait(changes):
    states = said("US", changes).states
    assert states["Isolation of the room"] == "waits"
    assert "error" not in states.values()


@pytest.mark.parametrize("system", SYSTEMS)
def test_with_own_layers_chosen_and_none_typed_the_checks_wait(system):
    _, _, states, walls, ceiling = chosen(OWN, system)
    assert states["Isolation of the room"] == "waits"
    assert "error" not in states.values()
    assert not [loss for loss in (*walls, *ceiling) if isinstance(loss, float)]


def test_the_pages_read_the_construction_that_is_chosen():
    job, _ = columns.calculated(
        NAME, "US", {"wall_found": "Brick, one leaf, plastered inside", "ceiling_found": "Concrete slab"}
    )
    found = named(job)
    # Brick of 3.625 in by the table, plaster, gap and frame, new leaf; no cavity, since it is one leaf.
    assert found["wall_drawn_thickness"] * 12 == pytest.approx(3.625 + 0.5 + 1 + 3.5 + 1.25)
    assert found["plan_wall"] * 12 == pytest.approx(3.625 + 0.5)
    told = layers_told(job)
    assert told[:7] == [
        "Walls as found, Brick, one leaf, plastered inside:",
        "– far side: 1 × Gypsum plaster with sand, 0.5 in",
        "– far side: 1 × Clay brick 4 in",
        "Ceiling as found, Concrete slab:",
        "– far side: 1 × Concrete 6 in",
        "Gap to the old wall: nothing may bridge it: 1.00 in",
        "New frame: studs 16 in apart, Mineral wool batt 3 in: 3.50 in",
    ]
    sentences = [row[0] for row in job.package.rows("Proposal", Area(1, 2, 40, 2))]
    assert "As found: walls, Brick, one leaf, plastered inside; ceiling, Concrete slab." in sentences
    assert any(str(words).endswith(f"each about {found['inner_door_mass']:.0f} lb.") for words in sentences)
    doors = next(row for row in job.package.rows("Start", Area(1, 2, 40, 10)) if row[4] == "Doors")
    assert (doors[7], doors[8]) == (f"inner one at least {found['inner_door_least']:.0f}", "Passes")
    on_doors = [str(row[0]) for row in job.package.rows("Doors", Area(1, 2, 60, 2))]
    assert any(
        words.startswith("A leaf over 10.0 lb/ft² no door can match: no least mass is asked") for words in on_doors
    )


# Each job has its door in another wall of a room of 5 ft by 12, whatever its walls are.
NARROW = {"existing_width": 5, "door_width": 48}
MASONRY, BARE = {"wall_found": "Brick and block with a cavity"}, {"wall_found": "Brick, one leaf, bare"}
DOORS = {
    "A": {**NARROW, "door_wall": "A", **MASONRY},
    "B": {**NARROW, "door_wall": "B", **MASONRY, "wall_board": "stays"},
    "C": {**NARROW, "door_wall": "C", **BARE, "window_gap": 7.75},
    "D": {**NARROW, "door_wall": "D", **BARE, "window_gap": 7.5},
}


def with_door(wall):
    return columns.calculated(NAME, "US", DOORS[wall])


@pytest.mark.parametrize(("wall", "fails"), [("A", False), ("B", True), ("C", False), ("D", True)])
def test_the_door_is_measured_against_the_wall_it_is_drawn_in(wall, fails):
    """A wall of 5 ft less both new leaves of 5.75 in, 48.5 in, has no room for a door of 48 in with 4 in of frame; one of 12 ft has."""
    job, report = with_door(wall)
    if fails:
        assert 12 * named(job)["room_width"] == pytest.approx(48.5)
    failed = {check.rule for check in report.failed}
    assert ("Door: in the wall it is drawn in, with its frame" in failed) is fails


def test_masonry_does_not_come_off():
    rule = "What comes off is a board, not masonry"
    job, report = with_door("A")
    assert "An engineer decides" in {check.rule: check.advice for check in report.failed}[rule]
    told = next(words for words in layers_told(job) if words.startswith("Comes off"))
    assert told.endswith("heavier than a board, ask an engineer first")
    assert rule not in {check.rule for check in with_door("B")[1].checks}


def test_a_window_in_a_wall_of_one_leaf_counts_no_cavity():
    """Half of a brick of 3.625 in, where the plan shows the pane, and 5.75 in of gap, frame and new leaf: 7.56 in."""
    rule = "Window: its gap fits the depth of the walls"
    assert rule in {check.rule for check in with_door("C")[1].failed}
    assert rule not in {check.rule for check in with_door("D")[1].failed}

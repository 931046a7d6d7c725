"""What is taken off: joists by their span and length, faces by the pieces of a sheet, screws surface by surface."""

import math
from functools import cache

import pytest

from stillbook.catalogue import call
from stillbook.workbook.file.address import Area
from templates.columns import named, numbers, shipped, values

SPAN = "Span of the ceiling joists"


def lines(job, code):
    """Text and quantity of each line of a code that is ordered."""
    rows = zip(*(values(job, f"line_{part}") for part in ("codes", "texts", "quantities")), strict=True)
    return [(text, quantity) for found, text, quantity in rows if found == code and quantity]


# Each job is changed in things that have nothing to do with each other: the sides of the room move its joists, its height
# the studs, and the boxes, the door and the deck are for themselves.
ROOMY = {"space_length": 30, "space_width": 30, "space_height": 20}
BOOTHS = {
    "long": {**ROOMY, "room_length": 12, "room_width": 6, "room_height": 8.2708},
    "deep": {**ROOMY, "room_length": 6, "room_width": 12, "room_height": 8.3},
    "wider": {**ROOMY, "room_length": 12, "room_width": 9, "baffle_length": 180, "baffle_most_length": 200},
    "wide": {**ROOMY, "room_length": 15, "room_width": 14, "room_height": 9.7},
    "wide, longer joists": {**ROOMY, "room_length": 15, "room_width": 14, "room_height": 10, "joist_most_span": 16},
    "thin": {"deck_count_1": 1, "pair_makeup_count": 1, "door_width": 36},
    "thicker": {"deck_count_1": 2, "pair_makeup_count": 3, "door_width": 36},
    "thick": {"deck_count_1": 3, "pair_makeup_count": 3, "door_width": 24},
}
for leaves in ("thin", "thicker", "thick"):
    BOOTHS[leaves] |= {"door_choice": "pair", "inner_count_1": 1, "outer_count_1": 1}
PAIR = {"door_choice": "pair", "pair_makeup_count": 3}
CONVERSIONS = {
    "wide": {"existing_width": 14, "existing_length": 15, **PAIR, "pair_makeup_count": 1, "door_width": 36},
    "wide, longer joists": {
        "existing_width": 14, "existing_length": 15, "joist_most_span": 16, **PAIR, "door_width": 36,
    },
    "on clips": {
        "ceiling_fixing": "isolation clips", "existing_width": 30, "existing_length": 30, **PAIR, "door_width": 24,
    },
}  # fmt: skip
JOBS = {"booth-estimate": BOOTHS, "room-conversion": CONVERSIONS}


@cache
def made(name, which):
    """A job and its report, calculated once for all that ask it."""
    job = shipped(name, "US")
    job.set(JOBS[name][which])
    return job, job.calculate()


# A room of 6 × 12 ft inside, boards of 1.25 in, frames of 3.5 in, joists at 16 in with 10 % waste: the inner ones are
# 6 ft + 9.5 in long and the outer 7.75 ft - 2.5 in, both of 8 ft stock, along a side of 12 ft and of 13.75 ft.
INNER = math.ceil((12 / (16 / 12) + 1) * 1.1)
OUTER = math.ceil((math.ceil(13.75 / (16 / 12)) + 1) * 1.1)


@pytest.mark.parametrize("which", ["long", "deep"])
def test_joists_span_the_shorter_side_whichever_it_is(which):
    job, _ = made("booth-estimate", which)
    found = named(job)
    assert lines(job, "JOIST") == [
        (f"Joists, inner ceiling: {INNER} of 8 ft", INNER * 8),
        (f"Joists, outer ceiling: {OUTER} of 8 ft", OUTER * 8),
    ]
    assert found["joist_span_inner"] == pytest.approx(6 + 2.5 / 12)
    assert found["joist_span_outer"] == pytest.approx(7.75 - 9.5 / 12)


def test_a_longer_joist_costs_more():
    costs = []
    for which in ("long", "wider"):
        job, _ = made("booth-estimate", which)
        rows = zip(values(job, "line_codes"), values(job, "line_cost"), strict=True)
        costs.append([cost for code, cost in rows if code == "JOIST"])
    assert all(more > less * 1.2 for less, more in zip(*costs, strict=True))


@pytest.mark.parametrize("name", JOBS)
def test_a_span_over_its_limit_fails_and_sends_to_the_table(name):
    failed, passed = (made(name, which)[1].failed for which in ("wide", "wide, longer joists"))
    assert "span table or an engineer" in {check.rule: check.advice for check in failed}[SPAN]
    assert SPAN not in {check.rule for check in passed}


def test_a_new_ceiling_on_clips_has_no_joists():
    job, report = made("room-conversion", "on clips")
    assert lines(job, "JOIST") == []
    assert SPAN not in {check.rule for check in report.failed}


# --- pieces of sheets -------------------------------------------------------------------------------------------------


FACES = [
    # layers of a slab, width of the door in in, sheets
    (1, 36, 2),
    (3, 36, 6),
    (3, 24, 3),
]


@pytest.mark.parametrize(
    ("name", "which", "layers", "width", "sheets"),
    [
        (name, which, *face)
        for name, jobs in (("booth-estimate", ("thin", "thicker", "thick")), ("room-conversion", CONVERSIONS))
        for which, face in zip(jobs, FACES, strict=True)
    ],
)
def test_a_sheet_is_counted_by_the_faces_it_gives(name, which, layers, width, sheets):
    job, _ = made(name, which)
    assert (job.inputs["pair_makeup_count"].value, job.inputs["door_width"].value) == (layers, width)
    assert [quantity for text, quantity in lines(job, "Plywood 3/4 in") if "slab" in text] == [sheets]


def test_openings_are_charged_the_sheets_their_faces_take():
    job = shipped("door-schedule", "US")
    job.set({"added_layers_1": 3})
    numbers(job)
    assert values(job, "sheets_used")[0] == 6


def test_a_door_larger_than_a_sheet_is_refused_with_its_reason():
    job = shipped("booth-estimate", "US")
    job.set({"door_height": 100})
    assert any("larger than a sheet" in error.reason for error in job.calculate().errors)


def test_boxes_are_cut_face_by_face():
    job = shipped("booth-estimate", "US")
    found = named(job)
    sizes = (found["baffle_length"], found["baffle_outer_width"], found["baffle_outer_height"])
    # 72 × 33.5 × 14.5 in, two boxes of two layers: eight faces of each size; a sheet of 48 × 96 in gives 1, 3 and 6.
    assert sizes == pytest.approx((72, 33.5, 14.5))
    boxes = [quantity for text, quantity in lines(job, "Gypsum board 5/8 in type X") if "boxes" in text]
    assert boxes == [8 + math.ceil(8 / 3) + math.ceil(8 / 6)]


def test_a_box_longer_than_a_sheet_is_made_up():
    job, report = made("booth-estimate", "wider")
    assert not report.errors
    # Faces of 180 in are two of 90 in each: sixteen pieces 33.5 in wide and sixteen 14.5 in wide.
    boxes = [quantity for text, quantity in lines(job, "Gypsum board 5/8 in type X") if "boxes" in text]
    assert boxes == [16 + math.ceil(16 / 3) + math.ceil(8 / 6)]


# --- screws -----------------------------------------------------------------------------------------------------------


def net(job, text):
    """The net quantity of a line of the Take-off sheet."""
    rows = job.package.rows("Take-off", Area(1, 2, 120, 8))
    return next(row[3] for row in rows if row[1] == text)


def test_screws_are_counted_surface_by_surface():
    job = shipped("booth-estimate", "US")
    surfaces = [(8, 7.5), (8, 7.5), (6, 7.5), (6, 7.5), (8, 6)]
    surfaces += [(9.75, 8.5), (9.75, 8.5), (7.75, 8.5), (7.75, 8.5), (9.75, 7.75)]
    by_hand = sum(
        call("SCREWS", across * height, 2, "12 in", 16, 4, 8, "vertical", 0.05, height) for across, height in surfaces
    )
    # The upper layer of the deck, 9.75 by 7.75 ft, on the lower: lines 12 in apart on pieces of 4, 4 and 1.75 ft.
    deck = math.ceil(((4 + 1) + (4 + 1) + (2 + 1)) * (8 + 1) * 1.05)
    assert net(job, "Board screws, deck too") == pytest.approx(by_hand + deck)


@pytest.mark.parametrize("which", ["thin", "thicker", "thick"])
def test_the_lowest_layer_of_a_deck_floats(which):
    job, _ = made("booth-estimate", which)
    screwed = BOOTHS[which]["deck_count_1"] - 1
    rest = sum(
        call("SCREWS", across * height, 1, "12 in", 16, 4, 8, "vertical", 0.05, height)
        for across, height in ((8, 7.5), (8, 7.5), (6, 7.5), (6, 7.5), (8, 6))
    )
    length, width, height = (values(job, f"outside_{side}")[0] for side in ("length", "width", "height"))
    rest += sum(
        call("SCREWS", across * tall, 1, "12 in", 16, 4, 8, "vertical", 0.05, tall)
        for across, tall in ((length, height),) * 2 + ((width, height),) * 2 + ((length, width),)
    )
    deck = call("SCREWS", length * width, screwed, "12 in", 12, 4, 8, "vertical", 0.05, width)
    assert net(job, "Board screws, deck too") == pytest.approx(rest + deck)


# --- sheets and studs -------------------------------------------------------------------------------------------------

# Strips 4 ft wide, of sheets 8 ft long. Inside, 8 by 6 ft and 7.5 ft high: two strips on each wall, two on the ceiling.
# Outside, 9.75 by 7.75 ft and 8.5 ft high: three and two strips on the walls with one more sheet each for the 6 in above
# them, three on the ceiling. The deck: three strips. Two layers of each.
SHEETS = {"inner leaf": 2 * (4 * 2 + 2), "outer leaf": 2 * (2 * (3 + 1) + 2 * (2 + 1) + 3), "deck": 2 * 3}


@pytest.mark.parametrize("where", SHEETS)
def test_sheets_of_a_leaf_are_counted_surface_by_surface(where):
    job = shipped("booth-estimate", "US")
    boards = lines(job, "Gypsum board 5/8 in type X") + lines(job, "Plywood 3/4 in")
    assert [quantity for text, quantity in boards if text.endswith(where)] == [SHEETS[where]]


# Studs stand between a sole and two top plates of 1.5 in, the inner ones up to the boards of the ceiling (1.25 in), the
# outer ones also past the inner joists (3.5 in) and the gap (1 in). At 8 ft 3.25 in the inner ones are just 8 ft.
STUDS = [
    # job, its height in ft, run of its walls inside in ft, stock of the inner and of the outer studs in ft
    (None, 7.5, 28, 8, 8),
    ("long", 8.2708, 36, 8, 10),
    ("deep", 8.3, 36, 10, 10),
    ("wide", 9.7, 58, 10, 10),
    ("wide, longer joists", 10, 58, 10, 12),
]


@pytest.mark.parametrize(("which", "height", "run", "inner", "outer"), STUDS)
def test_studs_are_bought_by_the_length_that_the_height_takes(which, height, run, inner, outer):
    """The outer walls run round the inner at 10.5 in, the shell: 7 ft more."""
    job = made("booth-estimate", which)[0] if which else shipped("booth-estimate", "US")
    assert job.inputs["room_height"].value == height
    assert lines(job, "STUD") == [
        (f"Studs, {where} frame: {count} of {stock} ft", count * stock)
        for where, along, stock in (("inner", run, inner), ("outer", run + 7, outer))
        for count in [math.ceil((math.ceil(along / (16 / 12)) + 1 + 8 + 3) * 1.1)]
    ]


SAME = {
    "booth-estimate": ("room_length", "room_width", "room_height", "stud_spacing", "stud_depth", "frame_gap", "sheet_width", "sheet_height"),
    "room-conversion": (
        "existing_length", "existing_width", "existing_height", "stud_spacing", "stud_depth", "frame_gap", "sheet_width", "sheet_height",
    ),
}  # fmt: skip
SIZES = {
    "room_length": "8 ft", "room_width": "6 ft", "room_height": "7.5 ft", "existing_length": "12 ft", "existing_width": "10 ft",
    "existing_height": "9 ft", "stud_spacing": "16 in", "stud_depth": "3.5 in", "frame_gap": "1 in", "sheet_width": "4 ft",
    "sheet_height": "8 ft",
}  # fmt: skip
LAYERS = {"inner": 2, "outer": 2, "deck": 2}


@pytest.mark.parametrize("name", sorted(SAME))
def test_the_same_room_takes_the_same_in_both_unit_systems(name):
    counts = []
    for system in ("US", "SI"):
        job = shipped(name, system)
        given = {entry: SIZES[entry] for entry in SAME[name]}
        for leaf in LAYERS:
            if f"{leaf}_material_1" in job.inputs:
                given[f"{leaf}_material_1"] = "MDF 18 mm"
        for place in ("wall_far", "wall_near", "ceiling_far", "ceiling_near"):
            if f"{place}_material_1" in job.inputs:
                given[f"{place}_material_1"] = "MDF 12 mm"
        given |= {"ceiling_joist": "5.5 in", "underlay_depth": "0.5 in"} if name == "room-conversion" else {}
        job.set(given)
        numbers(job)
        codes, texts, quantities = (values(job, f"line_{part}") for part in ("codes", "texts", "quantities"))
        sheets = [
            round(q) for code, text, q in zip(codes, texts, quantities, strict=True) if "MDF 18 mm, " in str(text)
        ]
        assert len(sheets) == len({leaf for leaf in LAYERS if f"{leaf}_material_1" in job.inputs})
        studs = [text.partition(" of ")[0] for text, _ in lines(job, "STUD")]
        counts.append((net(job, "Board screws, deck too"), studs, sheets))
    assert counts[0] == counts[1]

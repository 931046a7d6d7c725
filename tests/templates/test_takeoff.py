"""What is taken off: joists by their span and length, faces by the pieces of a sheet, screws surface by surface."""

import math

import pytest

from stillbook.catalogue import call
from stillbook.workbook.file.address import Area
from templates.columns import numbers, shipped, values
from templates.rules import advice_after


def lines(job, code):
    """Text and quantity of each line of a code that is ordered."""
    rows = zip(*(values(job, f"line_{part}") for part in ("codes", "texts", "quantities")), strict=True)
    return [(text, quantity) for found, text, quantity in rows if found == code and quantity]


# A room of 6 × 12 ft inside, boards of 1.25 in, frames of 3.5 in, joists at 16 in with 10 % waste: the inner ones are
# 6 ft + 9.5 in long and the outer 7.75 ft - 2.5 in, both of 8 ft stock, along a side of 12 ft and of 13.75 ft.
INNER = math.ceil((12 / (16 / 12) + 1) * 1.1)
OUTER = math.ceil((math.ceil(13.75 / (16 / 12)) + 1) * 1.1)


@pytest.mark.parametrize("sides", [("room_length", "room_width"), ("room_width", "room_length")])
def test_joists_span_the_shorter_side_whichever_it_is(sides):
    job = shipped("booth-estimate", "US")
    job.set({**dict(zip(sides, (12, 6), strict=True)), "space_length": 30, "space_width": 30})
    found = numbers(job)
    assert lines(job, "JOIST") == [
        (f"Joists, inner ceiling: {INNER} of 8 ft", INNER * 8),
        (f"Joists, outer ceiling: {OUTER} of 8 ft", OUTER * 8),
    ]
    assert found["joist_span_inner"] == pytest.approx(6 + 2.5 / 12)
    assert found["joist_span_outer"] == pytest.approx(7.75 - 9.5 / 12)


def test_a_longer_joist_costs_more():
    costs = []
    for width in (6, 9):
        job = shipped("booth-estimate", "US")
        job.set({"room_width": width, "room_length": 12, "space_length": 30, "space_width": 30})
        numbers(job)
        rows = zip(values(job, "line_codes"), values(job, "line_cost"), strict=True)
        costs.append([cost for code, cost in rows if code == "JOIST"])
    assert all(more > less * 1.2 for less, more in zip(*costs, strict=True))


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("booth-estimate", {"room_width": 14, "room_length": 15}),
        ("room-conversion", {"existing_width": 14, "existing_length": 15}),
    ],
)
def test_a_span_over_its_limit_fails_and_sends_to_the_table(name, changes):
    assert "span table or an engineer" in advice_after(name, changes)["Span of the ceiling joists"]
    assert "Span of the ceiling joists" not in advice_after(name, changes | {"joist_most_span": 16})


def test_a_new_ceiling_on_clips_has_no_joists():
    job = shipped("room-conversion", "US")
    job.set({"ceiling_fixing": "isolation clips", "existing_width": 30, "existing_length": 30})
    report = job.calculate()
    assert lines(job, "JOIST") == []
    assert "Span of the ceiling joists" not in {check.rule for check in report.failed}


# --- pieces of sheets -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
@pytest.mark.parametrize(("layers", "width", "sheets"), [(1, 36, 2), (3, 36, 6), (3, 24, 3)])
def test_a_sheet_is_counted_by_the_faces_it_gives(name, layers, width, sheets):
    job = shipped(name, "US")
    job.set({"door_choice": "pair", "pair_makeup_count": layers, "door_width": width})
    numbers(job)
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
    found = numbers(job)
    sizes = (found["baffle_length"], found["baffle_outer_width"], found["baffle_outer_height"])
    # 72 × 33.5 × 14.5 in, two boxes of two layers: eight faces of each size; a sheet of 48 × 96 in gives 1, 3 and 6.
    assert sizes == pytest.approx((72, 33.5, 14.5))
    boxes = [quantity for text, quantity in lines(job, "Gypsum board 5/8 in type X") if "boxes" in text]
    assert boxes == [8 + math.ceil(8 / 3) + math.ceil(8 / 6)]


def test_a_box_longer_than_a_sheet_is_made_up():
    job = shipped("booth-estimate", "US")
    job.set({"baffle_length": 180, "baffle_most_length": 200})
    report = job.calculate()
    assert not report.errors
    # Faces of 180 in are two of 90 in each: sixteen pieces 33.5 in wide and sixteen 14.5 in wide.
    boxes = [quantity for text, quantity in lines(job, "Gypsum board 5/8 in type X") if "boxes" in text]
    assert boxes == [16 + math.ceil(16 / 3) + math.ceil(8 / 6)]


# --- screws -----------------------------------------------------------------------------------------------------------


def net(job, text):
    """The net quantity of a line of the Take-off sheet."""
    rows = job.package.rows("Take-off", Area(1, 2, 120, 8))
    return next(row[2] for row in rows if row[1] == text)


def test_screws_are_counted_surface_by_surface():
    job = shipped("booth-estimate", "US")
    numbers(job)
    surfaces = [(8, 7.5), (8, 7.5), (6, 7.5), (6, 7.5), (8, 6)]
    surfaces += [(9.75, 8.5), (9.75, 8.5), (7.75, 8.5), (7.75, 8.5), (9.75, 7.75)]
    by_hand = sum(
        call("SCREWS", across * height, 2, "12 in", 16, 4, 8, "vertical", 0.05, height) for across, height in surfaces
    )
    assert net(job, "Board screws") == pytest.approx(by_hand)


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
        counts.append((net(job, "Board screws"), [quantity for _, quantity in lines(job, "STUD")]))
    assert counts[0] == counts[1]

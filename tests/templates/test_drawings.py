"""Plan, section and wall: each word lies on its paper, on no other word and on no line; what is drawn is what is there."""

from itertools import pairwise

import pytest

from stillbook.templates.parts import room_drawing, wall_drawing
from stillbook.workbook.job.lines import column
from templates.columns import calculated, named, shipped

SMALLEST = {"plan": 0.66, "section": 0.66, "wall": 0.84}
"""The least sizes at which they are shown: those of the scope, where words stay as large as elsewhere."""
SIZES = {"plan": room_drawing.SIZE, "section": room_drawing.SIZE, "wall": wall_drawing.SIZE}

LETTER, HIGH, APART = 1.5, 2.6, 0.6
"""Of words of 9 points, in millimetres: width of a letter, height, distance from their point; by a ruler on a print."""

SPACE = {"space_length": 18, "space_width": 13, "space_height": 9.5}
FILLED = {"room_length": 9.5, "room_width": 7, **SPACE}
EMPTY = {"box_place": "on top of the shell", "cavity_fill": "empty", **SPACE}
JOBS = [
    ("booth-estimate", "US", {}),
    ("booth-estimate", "US", FILLED),
    ("booth-estimate", "US", {"room_length": 4, "room_width": 4, "room_height": 7}),
    ("booth-estimate", "US", {"room_length": 4, "room_width": 4, "door_choice": "single", **SPACE}),
    (
        "booth-estimate",
        "US",
        {"room_length": 24, "room_width": 7, "space_length": 30, "space_width": 10.2, "space_height": 9.5},
    ),
    ("booth-estimate", "US", {"space_length": 9, "space_width": 13, "space_height": 8, "door_choice": "single"}),
    ("booth-estimate", "US", EMPTY),
    ("room-conversion", "SI", {}),
    ("room-conversion", "US", {"existing_length": 7, "existing_width": 8, "box_clear": 6}),
    ("room-conversion", "US", {"existing_length": 24, "existing_width": 9, "door_wall": "D", "window_wall": "A"}),
    *(
        ("room-conversion", "US", {"existing_length": 7, "existing_width": 8, "door_wall": door, "window_wall": window})
        for door, window in ("AA", "BA", "CB", "DD")
    ),
]


def made(name, system, changes):
    """A job as shipped, or one in which something is changed, calculated."""
    return calculated(name, system, changes)[0] if changes else shipped(name, system)


def drawn(job, view):
    """The lines of a drawing as it is shown at its least size: what, points in millimetres, words, their point, side."""
    sheet, area = column(job.package, f"{view}_lines")
    lines = []
    for what, words, across, up, _, side in job.package.rows(sheet, area):
        if what not in (None, ""):
            lines.append([what, [], "", None, ""])
        at = (across * SMALLEST[view], up * SMALLEST[view])
        lines[-1][1].append(at)
        if str(words or "").strip():
            lines[-1][2:] = [str(words).strip(), at, side]
    return lines


def box(words, at, side):
    """Left, foot, right and top of words beside a point."""
    wide = LETTER * len(words)
    x, y = at
    left = {"r": x + APART, "l": x - APART - wide}.get(side, x - wide / 2)
    foot = {"t": y + APART, "b": y - APART - HIGH}.get(side, y - HIGH / 2)
    return left, foot, left + wide, foot + HIGH


def crosses(start, end, area):
    """Whether a straight line goes through an area: it is cut at each of its edges in turn."""
    (x, y), (to_x, to_y) = start, end
    left, foot, right, top = area
    first, last = 0.0, 1.0
    for origin, run, low, high in ((x, to_x - x, left, right), (y, to_y - y, foot, top)):
        if run == 0:
            if not low < origin < high:
                return False
            continue
        near, far = sorted(((low - origin) / run, (high - origin) / run))
        first, last = max(first, near), min(last, far)
    return first < last


@pytest.mark.parametrize("view", SMALLEST)
@pytest.mark.parametrize(("name", "system", "changes"), JOBS)
def test_words_lie_on_their_paper_and_on_nothing_else(name, system, changes, view):
    lines = drawn(made(name, system, changes), view)
    wide, high = (10 * side * SMALLEST[view] for side in SIZES[view])
    boxes = {what: (words, box(words, at, side)) for what, _, words, at, side in lines if words}
    assert len(boxes) >= 2
    for what, (words, (left, foot, right, top)) in boxes.items():
        assert left >= 0, (what, words)
        assert right <= wide, (what, words)
        assert foot >= 0, (what, words)
        assert top <= high, (what, words)
        for other, (_, (left_2, foot_2, right_2, top_2)) in boxes.items():
            apart = other == what or right <= left_2 or right_2 <= left or top <= foot_2 or top_2 <= foot
            assert apart, (what, other)
        for other, points, *_ in lines:
            struck = any(crosses(start, end, (left, foot, right, top)) for start, end in pairwise(points))
            assert not struck, (what, words, other)


def extent(job, view, what):
    """Width and height of a line of a drawing."""
    points = next(points for told, points, *_ in drawn(job, view) if told == what)
    across, up = zip(*points, strict=True)
    return round(max(across) - min(across), 3), round(max(up) - min(up), 3)


def test_wool_lies_in_every_wall_that_is_filled_and_in_no_other():
    filled, empty = made("booth-estimate", "US", FILLED), made("booth-estimate", "US", EMPTY)
    for view, parts in (
        ("plan", ("", " before the door", " after the door", " at the left", " at the right")),
        ("section", ("", " at the left", " at the right")),
    ):
        for part in parts:
            assert min(extent(filled, view, f"Wool{part}")) > 0.5, (view, part)
            assert extent(empty, view, f"Wool{part}") == (0, 0), (view, part)


@pytest.mark.parametrize("wall", ["A", "B", "C", "D"])
def test_wool_leaves_door_and_window_free(wall):
    job, _ = calculated("room-conversion", "US", {"door_wall": wall, "window_wall": wall})
    lines = {what: points for what, points, *_ in drawn(job, "plan")}
    along = 0 if wall in "AC" else 1
    for opening in ("Door opening", "Window, reveal"):
        places = [point[along] for point in lines[opening]]
        low, high = min(places), max(places)
        for part in ("before the door", "after it", "after the window"):
            wool = [point[along] for point in lines[f"Wool, wall {wall}, {part}"]]
            assert max(wool) <= low + 1e-6 or min(wool) >= high - 1e-6, (opening, part)


def test_a_space_smaller_than_the_shell_is_told_and_drawn_as_it_is():
    changes = {"space_length": 9, "space_width": 13, "space_height": 8, "box_place": "on top of the shell"}
    job, _ = calculated("booth-estimate", "US", changes)
    found = named(job)
    words = {what: said for view in ("plan", "section") for what, _, said, *_ in drawn(job, view) if said}
    assert {words["Space across"], words["Space deep"]} == {"9.0 ft space", "13.0 ft"}
    assert words["Space height"] == "8.0 ft space"
    assert extent(job, "plan", "Space")[0] == pytest.approx(9 * found["plan_scale"] * 0.66, abs=0.01)
    assert extent(job, "section", "Air boxes on top") == (0, 0)
    assert min(extent(job, "section", "Air boxes on top without a place")) > 1
    assert key_words(job)[-1] == "box does not fit"


def key_words(job):
    """The words of the key that are shown."""
    sheet, area = column(job.package, "plan_lines")
    rows = job.package.rows(sheet, type(area)(1, area.first_column, area.last_row + 900, area.last_column))
    return [str(row[1]) for row in rows if str(row[0] or "").startswith("Key: ") and str(row[1] or "").strip()]


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
def test_the_key_names_every_kind_of_line_and_none_twice(name):
    words = key_words(shipped(name, "US"))
    assert len(words) == len(set(words))
    assert ("window" in words) is (name == "room-conversion")
    assert {"leaf", "wool", "door", "swing", "air box"} <= set(words)
    assert "box does not fit" not in words

"""What the pages to send say of layers, lengths, trades and weeks: worked out again from the inputs and the lines."""

import math

import pytest

from stillbook.workbook.file.address import Area
from stillbook.workbook.job.drawn import views
from templates.columns import calculated, named, shipped, values

EACH = [(name, system) for name in ("booth-estimate", "room-conversion") for system in ("US", "SI")]


def scope(job):
    """Left and right side of the parts between the drawings and the cautions of the scope, without blank rows."""
    rows = job.package.rows("Scope", Area(1, 2, 140, 8))
    labels = [row[0] for row in rows]
    between = rows[labels.index("Layers, leaf by leaf") + 1 : labels.index("Please note")]
    return [row[0] for row in between if row[0]], [(row[2], row[6]) for row in between if row[2]]


CHANGED = {"outer_material_2": "Plywood 3/4 in", "outer_count_2": 1, "deck_count_1": 1, "crew": 1}

# Two boards of 5/8 in are 1.25 in thick, three boards of 15 mm are 45 mm: arithmetic on the names of the boards.
LAYERS = [
    ("booth-estimate", "US", {}, "Inner leaf, walls", "– 2 sheets of Gypsum board 5/8 in type X: 1.25 in"),
    ("booth-estimate", "SI", {"inner_count_1": 3}, "Inner leaf, walls", "– 3 sheets of Gypsum board 15 mm: 45.0 mm"),
    ("booth-estimate", "SI", {"inner_count_1": 3}, "Outer leaf, walls", "– 2 sheets of Gypsum board 15 mm: 30.0 mm"),
    ("booth-estimate", "US", CHANGED, "Floor deck", "– 1 sheet of Plywood 3/4 in: 0.75 in"),
    ("room-conversion", "US", {}, "New leaf, walls", "– 2 sheets of Gypsum board 5/8 in type X: 1.25 in"),
    ("room-conversion", "SI", {}, "New floor deck", "– 2 sheets of MDF 18 mm: 36.0 mm"),
]


@pytest.mark.parametrize(("name", "system", "changes", "leaf", "layer"), LAYERS)
def test_the_scope_says_the_layers_leaf_by_leaf(name, system, changes, leaf, layer):
    left, _ = scope(calculated(name, system, changes)[0] if changes else shipped(name, system))
    place = next(number for number, line in enumerate(left) if line.startswith(leaf))
    assert left[place].endswith(":")
    assert left[place + 1] == layer


def test_a_second_layer_follows_the_first():
    left, _ = scope(calculated("booth-estimate", "US", CHANGED)[0])
    place = next(number for number, line in enumerate(left) if line.startswith("Outer leaf"))
    assert [line.partition(" of ")[2] for line in left[place + 1 : place + 3]] == [
        "Gypsum board 5/8 in type X: 1.25 in",
        "Plywood 3/4 in: 0.75 in",
    ]


def test_what_is_left_as_it_is_has_no_layers():
    changes = {"floor_plan": "as it is", "ceiling_plan": "as it is"}
    text = " ".join(scope(calculated("room-conversion", "US", changes)[0])[0])
    assert "deck" not in text
    assert "ceiling" not in text


def test_lengths_are_those_of_the_room():
    job = shipped("booth-estimate", "US")
    cells = named(job)
    _, right = scope(job)
    told = dict(right)
    inner = 2 * (cells["room_length"] + cells["room_width"])
    outer = 2 * (cells["outside_length"] + cells["outside_width"])
    assert told["Sole plates, both frames"] == f"{inner + outer:,.0f} ft"
    assert told["Top plates, both frames"] == f"{2 * (inner + outer):,.0f} ft"
    assert any(words.startswith("Studs, outer frame, to order ") for words in told)


@pytest.mark.parametrize(("name", "system"), EACH)
def test_each_trade_is_told_with_its_lines(name, system):
    job = shipped(name, system)
    _, right = scope(job)
    count = dict.fromkeys(("Shell", "Doors", "Air", "Wiring", "Site"), 0)
    for trade, number in zip(values(job, "line_trade"), values(job, "line_numbers"), strict=True):
        if number:
            count[trade] += 1
    told = {words.partition(":")[0]: amount for words, amount in right if words.partition(":")[0] in count}
    assert told == {trade: f"{lines} line{'s' * (lines != 1)}" for trade, lines in count.items() if lines}


@pytest.mark.parametrize("crew", [1, 3])
def test_the_programme_lets_one_trade_follow_the_other(crew):
    job, _ = calculated("booth-estimate", "US", CHANGED | {"crew": crew})
    hours = dict.fromkeys(("Shell", "Doors", "Air", "Wiring", "Site"), 0.0)
    columns = (values(job, f"line_{of}") for of in ("trade", "hours", "counts"))
    for trade, taken, counts in zip(*columns, strict=True):
        if trade:
            hours[trade] += taken * counts
    rows = job.package.rows("Proposal", Area(1, 2, 140, 6))
    weeks = rows[[row[0] for row in rows].index("Programme") + 2]
    gone, expected = 0.0, []
    for taken in hours.values():
        begins = math.floor(gone + 1e-6) + 1
        gone += taken / (crew * 8 * 5)
        ends = math.ceil(gone - 1e-6)
        expected.append(f"week {begins}" if ends <= begins else f"weeks {begins} to {ends}")
    assert list(weeks) == expected
    assert named(job)["work_weeks"] == ends


@pytest.mark.parametrize(("name", "leaf"), [("booth-estimate", "Inner leaf"), ("room-conversion", "New leaf")])
def test_a_wall_chosen_by_its_name_is_drawn_with_its_boards(name, leaf):
    job = shipped(name, "US")
    wall = next(view for view in views(job.package) if view.name == "wall")
    words = {line.what: line.words for line in wall.lines if line.words}
    assert words[f"{leaf}, layer 1, name"] == "2 × Gypsum board 5/8 in type X"
    board = next(line for line in wall.lines if line.what == f"{leaf}, layer 1")
    heights = [up for _, up in board.points]
    assert max(heights) - min(heights) == pytest.approx(1.25 / 12, abs=1e-6)

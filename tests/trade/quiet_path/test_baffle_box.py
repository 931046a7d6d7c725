"""Baffle boxes: each listed one can be made, keeps every limit, and does what the single formulas say."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code
from stillbook.quantities import SYSTEMS
from stillbook.trade.ducts.sizes import standard_sizes
from stillbook.trade.quiet_path.baffle_box import baffle_box

SHELL = 1.5
"""Two boards of 3/4 in, the shell when none is named [in]."""


def boxes(*arguments):
    headings, *rows = call("BAFFLEBOX", *arguments)
    return [dict(zip([title.split(" (")[0] for title in headings], row, strict=True)) for row in rows]


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("BAFFLEBOX", (60, 150, 60), Code.NUMBER, "the best box that fits lacks"),
        ("BAFFLEBOX", (60, 150, 15, 20), Code.NUMBER, "no box with this passage fits the space"),
        ("BAFFLEBOX", (1e5, 100, 15), Code.NUMBER, "no standard passage is large enough"),
        ("BAFFLEBOX", (60, None, 15), Code.NOT_AVAILABLE, "most velocity is blank"),
        ("BAFFLEBOX", (60, 150, [[1, 2, 3]]), Code.VALUE, "insertion loss has 3 values: give 1 or 8"),
        ("BAFFLEBOX", (60, 150, 15, None, None, None, "5 lb/ft²"), Code.NOT_AVAILABLE, "has no thickness"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    first = answer[0][0] if isinstance(answer, list) else answer
    assert first.code == code
    assert reason in first.reason


@given(
    airflow=st.floats(0.01, 0.08),
    velocity=st.floats(0.5, 1.5),
    wanted=st.floats(5, 25),
    most_height=st.none() | st.floats(0.4, 1.0),
    units=st.sampled_from(SYSTEMS),
)
@settings(max_examples=8, deadline=None)
def test_listed_boxes_keep_every_limit(airflow, velocity, wanted, most_height, units):
    rows = baffle_box(airflow, velocity, np.array([wanted]), None, None, most_height, units=units)
    assert 1 <= len(rows) <= 12
    sides = standard_sizes("rectangular", units)
    volumes = []
    for row in rows:
        passes, width, height, lining, speed, path, pressure, *losses = row[:15]
        assert width in sides and height in sides
        assert speed == pytest.approx(airflow / (width * height))
        assert speed <= velocity * (1 + 1e-6)
        assert min(losses[2:7]) >= wanted - 1e-6
        length, across, tall = row[15:18]
        assert tall <= (most_height or 20) * (1 + 1e-6)
        assert across > width + 2 * lining
        assert path >= 0.8 * max(passes, 1) * (length - 4 * lining)
        assert pressure > 0
        volumes.append(length * across * tall)
    assert volumes == pytest.approx(sorted(volumes))


@pytest.mark.parametrize(
    "arguments", [(60, 150, 15), (60, 250, [[0, 5, 10, 20, 20, 20, 20, 10]], 72), (120, 300, 20, 96, 48, 20)]
)
def test_a_listed_box_does_what_the_single_formulas_say(arguments):
    for box in boxes(*arguments):
        losses = [box[f"{band} Hz"] for band in (63, 125, 250, 500, 1000, 2000, 4000, 8000)]
        skin = 2 * (SHELL + box["Lining"])
        length, width, height = (box[f"Outside {side}"] - skin for side in ("length", "width", "height"))
        passage = (box["Passage width"], box["Passage height"])
        if box["Passes"]:
            assert losses == pytest.approx(call("LABYRINTHLOSS", *passage, length, box["Passes"], box["Lining"])[0])
            pressure = call("LABYRINTHPRESSURE", arguments[0], *passage, length, box["Passes"])
            assert box["Pressure"] == pytest.approx(pressure)
        else:
            opening = passage[0] * passage[1]
            offset = np.hypot(width - passage[0], height - passage[1])
            expected = call("BAFFLEBOXLOSS", length, width, height, opening, opening, box["Lining"], offset)[0]
            assert losses == pytest.approx(expected, abs=1e-6)
            assert box["Pressure"] == pytest.approx(call("FITTINGLOSS", arguments[0], *passage, "box"))


def test_no_listed_box_is_beaten_by_another():
    listed = boxes(60, 150, 15)
    for box in listed:
        for other in listed:
            better = [
                np.prod([other[f"Outside {side}"] for side in ("length", "width", "height")])
                < np.prod([box[f"Outside {side}"] for side in ("length", "width", "height")]) - 1e-6,
                other["Pressure"] < box["Pressure"] - 1e-12,
                other["Outside height"] < box["Outside height"] - 1e-9,
            ]
            assert other is box or not all(better)


@pytest.mark.parametrize(
    ("units", "lengths"), [("US", (24, 32, 48, 60, 72, 96)), ("SI", (600, 800, 1200, 1500, 1800, 2400))]
)
def test_lengths_are_parts_of_a_sheet_and_linings_are_stocked(units, lengths):
    airflow, velocity = (60, 150) if units == "US" else (28, 0.75)
    for box in boxes(airflow, velocity, 15, None, None, None, None, None, units):
        assert min(abs(box["Outside length"] - length) for length in lengths) < 1e-6
        assert any(box["Lining"] == pytest.approx(lining) for lining in ((1, 2) if units == "US" else (25, 50)))


def test_areas_and_mass_of_a_box():
    """Shell over its outside; mass of shell at 5.85 lb/ft², baffles of half-inch board, lining of 3 lb/ft³."""
    box = boxes(60, 150, 15)[0]
    length, width, height = (box[f"Outside {side}"] / 12 for side in ("length", "width", "height"))
    assert box["Shell area"] == pytest.approx(2 * (length * width + length * height + width * height))
    inside = length - 2 * (SHELL + box["Lining"]) / 12
    tall = height - 2 * (SHELL + box["Lining"]) / 12
    assert box["Baffle area"] == pytest.approx((box["Passes"] - 1) * (inside - box["Passage width"] / 12) * tall)
    boards = call("TOTALMASS", [["MDF 3/4 in", None, 2]], box["Shell area"])
    baffles = call("TOTALMASS", "MDF 1/2 in", box["Baffle area"])
    lining = call("TOTALMASS", [["Glass fibre 3 pcf", box["Lining"], 1]], box["Lining area"])
    assert box["Mass"] == pytest.approx(boards + baffles + lining)


def test_a_named_shell_is_weighed():
    light = boxes(60, 150, 15, None, None, None, "MDF 3/4 in")[0]
    assert light["Mass"] < 0.7 * boxes(60, 150, 15)[0]["Mass"]


@pytest.mark.parametrize(
    ("wall", "less", "words"),
    [
        (None, "", "not judged: give the loss of the wall"),
        ([[0] * 8], None, "not weaker than the wall"),
        ([[0, 0, 0, 60, 0, 0, 0, 0]], None, "weaker than the wall by"),
        ([[90, 0, 0, 0, 0, 0, 0, 90]], None, "not weaker than the wall"),
    ],
)
def test_the_shell_is_held_beside_the_wall_from_125_to_4000_hz(wall, less, words):
    box = boxes(60, 150, 15, None, None, None, None, wall)[0]
    assert words in box["Shell"]
    if less is not None:
        assert box["Shell less wall"] == less


def test_a_shell_of_the_walls_own_boards_is_not_weaker():
    leaf = [["Gypsum board 5/8 in type X", None, 2]]
    box = boxes(60, 150, 15, None, None, None, leaf, call("LEAFTL", leaf, "octave"))[0]
    assert box["Shell"] == "not weaker than the wall"
    assert box["Shell less wall"] == 0


def test_how_far_the_shell_lies_above_the_wall():
    own = call("LEAFTL", [["MDF 3/4 in", None, 2]], "octave")[0]
    weaker = [loss + 5 for loss in own]
    box = boxes(60, 150, 15, None, None, None, None, [weaker])[0]
    assert box["Shell less wall"] == pytest.approx(-5)
    assert "by 5 dB" in box["Shell"]

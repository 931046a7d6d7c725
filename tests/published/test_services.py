"""Cable holes, sealant, boxes and circuits against the electrical code's tables and public examples."""

import math

import pytest

from published.printed import cases, rows
from stillbook import catalogue


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("services"))
def test_a_published_example(formula, arguments, expected, tolerance):
    assert catalogue.call(formula, *arguments) == pytest.approx(expected, rel=0, abs=tolerance)


SIZES = {f"awg{size}": size for size in (18, 16, 14, 12, 10, 8, 6)}


@pytest.mark.parametrize(
    ("box", "volume", "size", "most"),
    [
        pytest.param(row["box"], float(row["volume_in3"]), size, int(row[column]), id=f"{row['box']} {column}")
        for row in rows("box_conductors")
        for column, size in SIZES.items()
        # One cell is left out: reproductions print 5 for 8 AWG in the 12.5 in³ box, where 12.5 / 3.00 gives 4.
        if row[column]
    ],
)
def test_most_conductors_in_a_box(box, volume, size, most):
    """The printed number of conductors fits the box, and one more does not."""
    assert catalogue.call("BOXFILL", size, most, 0, 0, 0) <= volume
    assert catalogue.call("BOXFILL", size, most + 1, 0, 0, 0) > volume
    fitting = catalogue.call("OUTLETBOXES", catalogue.call("BOXFILL", size, most, 0, 0, 0))
    assert [box, pytest.approx(volume)] in fitting


@pytest.mark.parametrize("row", [pytest.param(row, id=row["trade_size"]) for row in rows("conduit_fill")])
@pytest.mark.parametrize(
    ("column", "cables"), [("one_wire_53_in2", 1), ("two_wires_31_in2", 2), ("over_two_wires_40_in2", 3)]
)
def test_cables_that_fill_a_conduit_ask_for_a_hole_of_its_size(row, column, cables):
    """The area a code table allows in a conduit, cut into equal cables, gives back the conduit's inside diameter."""
    area = float(row[column])
    diameter = math.sqrt(area / cables * 4 / math.pi)
    printed = float(row["inside_diameter_in"])
    within = printed * 0.0005 / area / 2 + 0.0005
    answer = catalogue.call("HOLESIZE", [[diameter]], None, [[cables]])
    assert answer == pytest.approx(printed, rel=0, abs=within), row["source"]


def test_a_mixed_bundle_falls_between_two_conduit_sizes():
    """Three 12, four 10 and eight 8 AWG (0.0133, 0.0211, 0.0366 in²) take 1-1/4 in tubing and not 1 in.

    Source: a steel conduit makers' institute, answer to a reader on NEC Chapter 9 (seen); diameters from Table 4.
    """
    diameters = [[math.sqrt(area * 4 / math.pi)] for area in (0.0133, 0.0211, 0.0366)]
    assert 1.049 < catalogue.call("HOLESIZE", diameters, None, [[3], [4], [8]]) <= 1.380

"""The calling rules: units, ranges, blanks, errors and reasons, on small formulas of our own."""

from typing import Annotated

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.cells import Code, ErrorValue, OutOfRange
from stillbook.formula import DECLARED, Formula, formula
from stillbook.formula.declare import argument_helps
from stillbook.quantities import AIR_SPEED, AIRFLOW, COUNT, LENGTH, LEVEL, SHARE
from stillbook.readers import Choice, Few, Floats, Quantity, Text, Vector
from stillbook.results import Number, Numbers, SideBySide, UnderHeadings, Words

Size = Annotated[Floats, Quantity(LENGTH, above=0, most=10)]


def declared(**options):
    """Declare a formula for a test without leaving it in the catalogue."""

    def keep(function) -> Formula:
        settings = {"family": "Ducts", "summary": "x", "example": ("STILL_TEST(1)", 1.0), "source": "test"} | options
        formula("TEST", **settings)(function)
        return DECLARED.pop()

    return keep


@declared(no_answer="too wide: choose a narrower duct")
def speed(
    airflow: Annotated[Floats, Quantity(AIRFLOW, above=0)],
    width: Size,
    height: Size | None = None,
    side: Annotated[str, Choice("one", "both")] = "one",
    share: Annotated[Floats, Quantity(SHARE, least=0, below=1)] = 0.0,
) -> Annotated[Floats, Number(AIR_SPEED)]:
    """Speed.

    Args:
        airflow: Air through the duct [m³/s].
        width: Width, or the diameter of a round
            duct [m].
        height: Height.
        side: Sides lined.
        share: Share blocked.
    """
    area = np.pi / 4 * width**2 if height is None else width * height
    speed = airflow / area * (2 if side == "both" else 1) / (1 - share)
    return np.where(np.asarray(width) > 2, np.nan, speed)


@declared(vectorised=False)
def label(
    count: Annotated[float, Quantity(COUNT, least=0, whole=True)], text: Annotated[str, Text()] = "door"
) -> Annotated[str, Words()]:
    """Label.

    Args:
        count: How many.
        text: Of what.
    """
    if count > 9:
        raise OutOfRange("more than nine: split the order")
    return f"{count:.0f} {text}"


@declared(vectorised=False)
def halved(
    levels: Annotated[np.ndarray, Vector(Quantity(LEVEL), lengths=(2, 3))],
) -> Annotated[np.ndarray, Numbers(LEVEL)]:
    """Halved.

    Args:
        levels: Levels.
    """
    return levels / 2


@declared(vectorised=False)
def steps(
    width: Annotated[float, Quantity(LENGTH, above=0)],
) -> Annotated[list, UnderHeadings(("Width", LENGTH), ("Note", None))]:
    """Steps.

    Args:
        width: Width.
    """
    return [(width, "as given"), (2 * width, "doubled")]


NA = Code.NOT_AVAILABLE

SCALAR = [
    ((30.0, 8.0, 6.0), 90.0),
    ((30, 8, 6), 90.0),
    (("30 cfm", "8 in", "6 in"), 90.0),
    (("30", "8", "6"), 90.0),
    ((30.0, 8.0, 6.0, "BOTH"), 180.0),
    ((30.0, 8.0, 6.0, None, "50%"), 180.0),
    ((30.0, 8.0, 6.0, "", ""), 90.0),
    (([[30.0]], ((8.0,),), 6.0), 90.0),
    ((30.0, 8.0), 30 / (np.pi / 4 * (8 / 12) ** 2)),
    ((15, 200, 150, None, None, "SI"), 0.5),
    (("15 L/s", "200 mm", "150 mm", None, None, "SI"), 0.5),
]


@pytest.mark.parametrize(("arguments", "expected"), SCALAR)
def test_a_call_with_single_cells(arguments, expected):
    assert speed(*arguments) == pytest.approx(expected, rel=1e-12)
    assert type(speed(*arguments)) is float


ERRORS = [
    ((None, 8.0), NA, "airflow is blank: give an airflow in cfm"),
    ((30.0,), NA, "width is blank"),
    ((30.0, ""), NA, "width is blank"),
    ((0.0, 8.0), Code.NUMBER, "airflow is 0 cfm: give more than 0 cfm"),
    ((-30.0, 8.0), Code.NUMBER, "airflow is -30 cfm: give more than 0 cfm"),
    ((30.0, 1000.0), Code.NUMBER, "width is 1000 in: give more than 0 in and at most 393.7 in"),
    ((30.0, "100 in"), Code.NUMBER, "too wide: choose a narrower duct"),
    ((True, 8.0), Code.VALUE, "airflow is TRUE"),
    (("30 lb", 8.0), Code.VALUE, "is a mass where an airflow is needed"),
    (("lots", 8.0), Code.VALUE, '"lots" is not understood as an airflow'),
    ((30.0, 8.0, 6.0, "left"), Code.VALUE, 'give one of "one", "both"'),
    ((30.0, 8.0, 6.0, "SI"), Code.VALUE, '; "SI" stands for side here: units is the last argument'),
    ((-30.0, 8.0, "us"), Code.NUMBER, 'more than 0 cfm; "us" stands for height here: units is the last argument'),
    ((30.0, 8.0, 6.0, 1.0), Code.VALUE, "side is not understood"),
    ((30.0, 8.0, 6.0, None, 1.0), Code.NUMBER, "share is 1: give at least 0 and less than 1"),
    ((30.0, 8.0, 6.0, None, None, "metric"), Code.VALUE, 'units "metric" is not known: give one of "US", "SI"'),
    ((30.0, 8.0, 6.0, None, None, "SI", 1.0), Code.VALUE, "takes at most 6 arguments"),
    ((float("nan"), 8.0), Code.NUMBER, "airflow is nan"),
    ((float("inf"), 8.0), Code.NUMBER, "airflow is inf"),
    ((ErrorValue(Code.REFERENCE), 8.0), Code.REFERENCE, "airflow comes from a cell that holds #REF!"),
    ((ErrorValue(Code.DIVISION, "why"), None), Code.DIVISION, "why"),
    (([[30.0], [40.0]], [[8.0], [9.0], [7.0]]), Code.VALUE, "the ranges differ in size: airflow 2 × 1, width 3 × 1"),
]


@pytest.mark.parametrize(("arguments", "code", "reason"), ERRORS)
def test_a_wrong_call_gives_an_error_with_its_reason(arguments, code, reason):
    answer = speed(*arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


def test_a_range_answers_in_its_shape_with_errors_only_where_they_belong():
    column = [[30.0], ["60 cfm"], [None], ["x"], [-3], [ErrorValue(Code.NAME)], [True]]
    answer = speed(column, 8.0, 6.0)
    assert [row[0] if isinstance(row[0], float) else row[0].code for row in answer] == [
        pytest.approx(90.0),
        pytest.approx(180.0),
        NA,
        Code.VALUE,
        Code.NUMBER,
        Code.NAME,
        Code.VALUE,
    ]


def test_a_column_against_a_row_gives_every_combination():
    answer = speed([[30.0], [60.0]], [[8.0, 16.0]], 6.0)
    assert answer == [[pytest.approx(90), pytest.approx(45)], [pytest.approx(180), pytest.approx(90)]]


def test_blanks_in_a_range_of_an_optional_argument_take_its_default():
    answer = speed(30.0, 8.0, 6.0, [["one"], [None], ["both"]], [[0.5], [""], [0.0]])
    assert [row[0] for row in answer] == [pytest.approx(180), pytest.approx(90), pytest.approx(180)]


def test_one_place_without_an_answer_does_not_spoil_the_others():
    answer = speed(30.0, [[8.0], ["100 in"]], 6.0)
    assert answer[0][0] == pytest.approx(90.0)
    assert answer[1][0] == ErrorValue(Code.NUMBER, "too wide: choose a narrower duct")


def test_single_number_functions_go_through_a_range_cell_by_cell():
    assert label([[1, 2, 11, 1.5]]) == [
        [
            "1 door",
            "2 door",
            ErrorValue(Code.NUMBER, "more than nine: split the order"),
            ErrorValue(Code.NUMBER, "count is 1.5: give a whole number at least 0"),
        ]
    ]
    assert label(2, [["a"], ["b"]]) == [["2 a"], ["2 b"]]


@pytest.mark.parametrize("levels", [[[40.0, 50.0]], [[40.0], [50.0]], [40.0, 50.0], np.array([40.0, 50.0])])
def test_a_vector_is_a_row_or_a_column(levels):
    assert halved(levels) == [[20.0, 25.0]]


@pytest.mark.parametrize(
    ("levels", "code", "reason"),
    [
        ([[40.0], [None]], NA, "levels is blank: give a level in dB (value 2 of 2)"),
        ([[1.0, 2.0], [3.0, 4.0]], Code.VALUE, "is 2 rows by 2 columns: give one row or one column"),
        ([[1.0, 2.0, 3.0, 4.0]], Code.VALUE, "has 4 values: give 2 or 3"),
        (None, NA, "levels is blank"),
        ([[1.0, ErrorValue(Code.DIVISION)]], Code.DIVISION, "holds #DIV/0!"),
    ],
)
def test_a_wrong_vector_says_what_to_give(levels, code, reason):
    answer = halved(levels)
    assert answer.code == code
    assert reason in answer.reason


def test_a_table_has_headings_with_units():
    assert steps("10 in") == [["Width (in)", "Note"], [pytest.approx(10), "as given"], [pytest.approx(20), "doubled"]]
    assert steps(250, "SI")[0] == ["Width (mm)", "Note"]
    assert steps(250, "SI")[2] == [pytest.approx(500), "doubled"]


def test_the_function_itself_is_left_as_it_was():
    assert speed.function(0.015, 0.2, 0.15) == pytest.approx(0.5)


def test_everything_a_host_shows_comes_from_the_declaration():
    assert speed.signature == "STILL_TEST(airflow, width, [height], [side], [share], [units])"
    assert [argument.help for argument in speed.parameters][:2] == [
        "Air through the duct.",
        "Width, or the diameter of a round duct.",
    ]
    assert speed.parameters[3].help_shown("US") == 'Sides lined; one of "one", "both"; one when left out.'
    assert speed.result.unit("US") == "fpm"
    assert speed.result.unit("SI") == "m/s"
    assert label.signature == "STILL_TEST(count, [text])"


def test_argument_helps_are_read_from_the_docstring():
    assert argument_helps("x\n\nArgs:\n    a: One\n        more [m].\n    *b: Two.\n\nRaises:\n    E: no.\n") == {
        "a": "One more.",
        "b": "Two.",
    }


def test_a_result_without_a_form_is_refused_when_declared():
    with pytest.raises(TypeError, match="TEST has no annotation that writes what it gives"):

        @declared()
        def wrong(width: Size) -> Annotated[float, Quantity(LENGTH)]:
            """Wrong.

            Args:
                width: Width.
            """
            return width


def test_an_argument_without_a_reader_is_refused_when_declared():
    with pytest.raises(TypeError, match=r"TEST\.width has no annotation"):

        @declared()
        def wrong(width: float) -> Annotated[float, Number(LENGTH)]:
            """Wrong.

            Args:
                width: W.
            """
            return width


CELLS = st.one_of(
    st.none(),
    st.booleans(),
    st.floats(),
    st.integers(-(10**30), 10**30),
    st.text(max_size=12),
    st.builds(ErrorValue, st.sampled_from(Code)),
)


@given(
    st.lists(st.one_of(CELLS, st.lists(st.lists(CELLS, min_size=2, max_size=2), min_size=1, max_size=3)), max_size=7)
)
def test_no_cell_values_break_a_call(arguments):
    for entry in (speed, label, halved, steps):
        answer = entry(*arguments)
        rows = answer if isinstance(answer, list) else [[answer]]
        assert len({len(row) for row in rows}) == 1
        for cell in (cell for row in rows for cell in row):
            assert isinstance(cell, float | str | ErrorValue)
            assert not isinstance(cell, float) or np.isfinite(cell)
            assert not isinstance(cell, ErrorValue) or cell.reason


@given(st.lists(st.floats(1, 1e4), min_size=2, max_size=30), st.floats(1, 70), st.sampled_from(["US", "SI"]))
def test_a_range_gives_what_its_cells_give_one_by_one(flows, width, system):
    together = speed([[flow] for flow in flows], width, width, None, None, system)
    apart = [[speed(flow, width, width, None, None, system)] for flow in flows]
    for (one,), (other,) in zip(together, apart, strict=True):
        assert one == (other if isinstance(other, ErrorValue) else pytest.approx(other, rel=1e-14))


@declared(vectorised=False)
def sides(
    levels: Annotated[tuple, Few(Quantity(LEVEL), 2)],
    share: Annotated[float, Quantity(SHARE, least=0)] = 1.0,
) -> Annotated[tuple, SideBySide(("Each", LEVEL), ("Other", LEVEL))]:
    """Sides.

    Args:
        levels: Level of one side, or of both.
        share: Share.
    """
    return tuple(share * level for level in dict.fromkeys(levels))


FEW = [
    ((60,), 60.0),
    (([[60, 50]],), [[60.0, 50.0]]),
    (([[60], [50]],), [[60.0, 50.0]]),
    (([[60, 60]],), 60.0),
    (([[60], [50]], [[1], [2]]), [[60.0], [100.0]]),
    (([[60], [50], [40]],), [[60.0], [50.0], [40.0]]),
    (([[60, 50], [40, 40]],), [[60.0, 50.0], [40.0, ""]]),
    (([[60, 50]], [[1], [2]]), [[60.0, 50.0], [120.0, 100.0]]),
    ((60, [[1, 2]]), [[60.0, 120.0]]),
]


@pytest.mark.parametrize(("arguments", "expected"), FEW)
def test_a_few_values_for_each_answer(arguments, expected):
    assert sides(*arguments) == expected


def test_an_error_in_a_schedule_fills_its_row():
    answer = sides([[60, 50], [40, None], ["lots", 40]])
    assert answer[0] == [60.0, 50.0]
    assert [cell.code for cell in answer[1]] == [NA, NA]
    assert "levels, value 2 is blank" in answer[1][0].reason
    assert [cell.code for cell in answer[2]] == [Code.VALUE, Code.VALUE]


def test_a_row_of_too_many_values():
    assert sides([[60, 50, 40]]).reason == "levels has 3 values: give at most 2"
    assert sides.result.unit("US") == "dB"

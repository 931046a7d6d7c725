"""Airflow for the people: what is refused, units and drop-downs."""

import pytest

from stillbook.catalogue import call, find
from stillbook.cells import Code, ErrorValue
from stillbook.tables import table


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("OCCUPANTAIRFLOW", (0,), Code.NUMBER, "people is 0: give more than 0"),
        ("OCCUPANTAIRFLOW", (None,), Code.NOT_AVAILABLE, "people is blank"),
        ("OUTDOORAIRFLOW", ("attic", 1, 24), Code.VALUE, 'space type "attic" is not known: give one of "studio'),
        ("OUTDOORAIRFLOW", ("office", 1, 24, None, 0), Code.NUMBER, "outdoor share is 0"),
        ("OUTDOORAIRFLOW", ("office", 1, 24, 0), Code.NUMBER, "effectiveness is 0"),
        ("OUTDOORAIRFLOW", ("office", 1, "24 ft"), Code.VALUE, "is a length where an area is needed"),
        ("AIRCHANGES", (0, 168), Code.NUMBER, "airflow is 0 cfm: give more than 0 cfm"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


@pytest.mark.parametrize(
    ("formula", "arguments", "expected"),
    [
        ("OCCUPANTAIRFLOW", (2, "20 cfm"), 40),
        ("OCCUPANTAIRFLOW", (1, None, "SI"), 7.0792116),
        ("OUTDOORAIRFLOW", ("Studio or Stage", 1, "24 sq ft"), 11.44),
        ("AIRCHANGES", ("10 L/s", 3.6, "SI"), 10),
    ],
)
def test_units(formula, arguments, expected):
    """1207.2 J/m³K is 1.08 Btu/h per cfm and °F."""
    assert call(formula, *arguments) == pytest.approx(expected, rel=1e-4)


def test_drop_downs_come_from_the_tables():
    space = find("OUTDOORAIRFLOW").parameters[0].reader
    activity = find("CO2LEVEL").parameters[4].reader
    assert space.choices == tuple(row["space"] for row in table("outdoor_air"))
    assert activity.choices == tuple(row["activity"] for row in table("activities"))


def test_every_row_tells_how_sure_it_is():
    for name in ("outdoor_air", "activities"):
        assert all(row["confidence"] for row in table(name))


def test_air_from_a_neighbouring_room_counts_by_its_fresh_share():
    whole = call("OUTDOORAIRFLOW", "studio or stage", 1, 24)
    assert call("OUTDOORAIRFLOW", "studio or stage", 1, 24, None, 0.25) == pytest.approx(4 * whole)

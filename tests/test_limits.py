"""No formula takes a number without end, and none gives one."""

import math
import os
import re
import warnings

import pytest

from chance import drawn
from drawn_calls import call_of, gives_levels
from stillbook.catalogue import call, formulas
from stillbook.cells import Code, ErrorValue
from stillbook.quantities import KINDS, LEVEL, SYSTEMS
from stillbook.readers import Anything, Choice, Labels, Text
from stillbook.trade.physics.octave_rows import ElementNames

READERS = [
    pytest.param(parameter.reader, id=f"{entry.name} {parameter.name}")
    for entry in formulas().values()
    for parameter in entry.parameters
]
NUMERIC = [
    pytest.param(quantity, id=f"{entry.name} {parameter.name} {quantity.kind.name}")
    for entry in formulas().values()
    for parameter in entry.parameters
    for quantity in parameter.reader.quantities
]


@pytest.mark.parametrize("reader", READERS)
def test_a_reader_reads_numbers_with_limits_or_none(reader):
    """A reader of rows names each number in a row: none stands outside the limits below."""
    assert bool(reader.quantities) != isinstance(reader, Choice | Text | Labels | Anything | ElementNames)


def test_all_numeric_arguments_are_looked_at():
    assert len(NUMERIC) > 500


@pytest.mark.parametrize("quantity", NUMERIC)
def test_a_numeric_argument_has_both_limits(quantity):
    assert math.isfinite(max(quantity.above, quantity.least))
    assert math.isfinite(min(quantity.below, quantity.most))
    assert quantity.above != 0 or quantity.least > 0, "more than nothing is at least something"


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("quantity", NUMERIC)
def test_a_limit_is_taken_as_it_is_told(quantity, system):
    """140 °F is 60 °C and a little by the last digit of its conversion; 0.3937 in is less than 10 mm."""
    unit = quantity.kind.unit(system)
    for word, number in re.findall(r"(at least|at most) (\S+)", quantity.wanted(system)):
        for given in (float(number), f"{number} {unit}" if unit else number):
            assert quantity.read(given, "it", system) == pytest.approx(
                quantity.least if word == "at least" else quantity.most, rel=2e-3
            )
        cells, problems = quantity.read_all([float(number)] * 2, "it", system)
        assert not problems
        assert quantity.least <= min(cells) <= max(cells) <= quantity.most


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_an_answer_of_any_kind_has_a_largest(kind):
    assert math.isfinite(kind.largest)
    assert 0 < kind.smallest < kind.largest


def test_no_level_lies_above_that_of_all_the_pressure_of_the_air():
    """20 log(101325 / √2 / 20e-6) is 191 dB, and 194 dB at its peak: ISO 1683, reference 20 µPa."""
    assert 20 * math.log10(101_325 / 20e-6) < LEVEL.largest < 20 * math.log10(101_325 / 20e-6) + 10


@pytest.mark.parametrize(
    ("formula", "arguments", "reason"),
    [
        ("CO2LEVEL", (10000, 0.05, 168), "above 100,000 ppm"),
        ("CO2LEVEL", (5, 0, 40, 90000), "above 100,000 ppm"),
        ("DUCTVELOCITY", (200000, 0.2), "faster than 50 m/s"),
        ("DUCTVELOCITY", (1e9, 12), "give more than 0 cfm and at most 2.118e+05 cfm"),
        ("DUCTLOSS", (50000, 2, None, 100), "faster than 50 m/s"),
        ("FITTINGLOSS", (50000, 2, None, "exit"), "faster than 50 m/s"),
        ("AIRFLOWNOISE", (50000, 2, None, "duct"), "faster than 50 m/s"),
        ("LINEDDUCTLOSS", (100, None, 10, 1), "no lined duct larger than this was tested"),
        ("LINEDDUCTLOSS", (100, None, 10, 1, "regression"), "no lined duct larger than this was tested"),
        ("LINEDDUCTLOSS", (100, 100, 10, 1), "no lined duct larger than this was tested"),
        ("TEMPERATURERISE", (34000, 30), "more than 60 K (108 °F) warmer"),
        ("FANSCALED", (-2986, "sound", 1), "a sound level is -50 to 200 dB"),
        ("RATEDLOSS", (10000, 1, 0.3), "more than 10 kPa"),
        ("ROOMPRESSURE", (200000, 0, 0.1), "the answer is beyond"),
        # Each of these once gave thousands of decibels.
        ("FANSCALED", (14, "sound", 1e-60), "speed ratio is 1e-60: give at least 0.01"),
        ("NOISEREDUCTION", (14, 1e-300, 1), "area is 1e-300 ft²: give at least"),
        ("BRANCHLOSS", (1e-300, 64), "branch area is 1e-300 in²: give at least"),
        ("AREACHANGELOSS", (1e-300, 64), "area before is 1e-300 in²: give at least"),
        ("ROOMLOSS", ("1 m", 1e-300, 5), "volume is 1e-300 ft³: give at least"),
        (
            "BREAKOUTLOSS",
            (12, 12, 1e-300, "1 lb/ft²"),
            "less than anything of the trade: check the number and its unit",
        ),
        ("ENDREFLECTION", (1e-300,), "width is 1e-300 in: give at least"),
        ("CROSSTALKTL", (8, 1e-300, 100, [[0] * 8]), "height is 1e-300 in: give 0, or at least 0.3938 in"),
        ("SLITTL", (1e-300, 1), "width is 1e-300 in: give at least"),
        ("HOLETL", (1e-300, 1), "diameter is 1e-300 in: give at least"),
        ("PANELTL", (2, 1e-300, 0.01, "Sharp"), "critical frequency is 1e-300 Hz: give at least 5 Hz"),
        ("FLANKINGPATHTL", (50, 50, 10, 100, 1e-300), "junction length is 1e-300 ft: give at least"),
        ("SOUNDLOCKTL", (20, 20, 20, 1e-300), "absorption is 1e-300 ft²: give at least"),
        ("SOUNDLOCKTL", (150, 150, 20, 20), "the answer is beyond 200 dB"),
        ("CROSSTALKTL", (8, 8, 0.1, [[0] * 8]), "the opening is larger than the wall"),
        ("PASSEDSHARE", (12, 25, 160, 45), "the element passes more than the whole"),
        ("AIRFLOWNOISE", (2000, 10, 10, "damper", 1000), "would take more than 10 kPa"),
        ("SURFACEMASS", ([["Concrete 6 in", None, 50]],), "more than any wall"),
        ("DEWPOINT", (74, 1.0001), "humidity is 1.0001: give at least 0.001 and at most 1"),
        ("CO2LEVEL", (1, 15, 168, None, None, None, None, 122.001), "temperature is 122.001 °F: give"),
        ("DEWPOINT", (-40, 1e-9), "humidity is 1e-09: give at least 0.001"),
    ],
)
def test_an_answer_that_cannot_be_proved_right_is_refused(formula, arguments, reason):
    answer = call(formula, *arguments)
    first = answer[0][0] if isinstance(answer, list) else answer
    assert isinstance(first, ErrorValue) and first.code == Code.NUMBER
    assert reason in first.reason


def test_one_answer_too_large_spoils_no_other():
    answers = call("ROOMPRESSURE", [[35], [200000]], 30, [[2], [0.1]])
    assert answers[0][0] == pytest.approx(call("ROOMPRESSURE", 35, 30, 2))
    assert "the answer is beyond" in answers[1][0].reason


CALLS = int(os.environ.get("STILLBOOK_CALLS", "40"))

LEAST_LOSS = -85
"""A resonant slit passes some 35 dB more than its area; no other answer reaches so far, but differences of typed levels."""


@pytest.mark.parametrize("name", formulas())
def test_calls_at_the_edges_answer_or_say_why(name):
    """Drawn calls: no fault of ours, no warning, no answer without end, no reason left out, no level beyond all sound."""
    entry, chance = formulas()[name], drawn("calls", name)
    for _ in range(CALLS):
        arguments = call_of(entry, chance)
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            answer = call(name, *arguments)
        for cell in cells(answer):
            if isinstance(cell, ErrorValue):
                assert cell.reason and "failed on these inputs" not in cell.reason, arguments
            elif isinstance(cell, float):
                assert math.isfinite(cell) and math.copysign(1, cell) == (1 if cell >= 0 else -1), arguments
                if gives_levels(entry.result) and name not in OF_TYPED_LEVELS:
                    assert LEAST_LOSS <= cell <= LEVEL.largest, arguments


OF_TYPED_LEVELS = {"REQUIREDTL", "CHANGEFIRST", "BAFFLEBOX"}
"""Differences of levels as they were typed, or tables with columns of other kinds."""


def cells(answer):
    rows = answer if isinstance(answer, list) else [[answer]]
    return [cell for row in rows for cell in (row if isinstance(row, list) else [row])]

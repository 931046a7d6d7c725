"""No formula takes a number without end, and none gives one."""

import math

import pytest

from stillbook.catalogue import call, formulas
from stillbook.cells import Code, ErrorValue
from stillbook.quantities import KINDS
from stillbook.readers import Columns, Few, Quantity, Vector


def quantities(reader):
    if isinstance(reader, Quantity):
        return [reader]
    if isinstance(reader, Few | Vector):
        return [reader.each]
    return [each for _, each in reader.columns] if isinstance(reader, Columns) else []


NUMERIC = [
    pytest.param(quantity, id=f"{entry.name} {parameter.name} {quantity.kind.name}")
    for entry in formulas().values()
    for parameter in entry.parameters
    for quantity in quantities(parameter.reader)
]


def test_all_numeric_arguments_are_looked_at():
    assert len(NUMERIC) > 400


@pytest.mark.parametrize("quantity", NUMERIC)
def test_a_numeric_argument_has_both_limits(quantity):
    assert math.isfinite(max(quantity.above, quantity.least))
    assert math.isfinite(min(quantity.below, quantity.most))


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_an_answer_of_any_kind_has_a_largest(kind):
    assert math.isfinite(kind.largest)


@pytest.mark.parametrize(
    ("formula", "arguments", "reason"),
    [
        ("CO2LEVEL", (10000, 0.05, 168), "above 100,000 ppm"),
        ("CO2LEVEL", (5, 0, 40, 90000), "above 100,000 ppm"),
        ("DUCTVELOCITY", (200000, 0.2), "faster than 50 m/s"),
        ("DUCTVELOCITY", (1e9, 12), "give more than 0 cfm and at most 2.119e+05 cfm"),
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

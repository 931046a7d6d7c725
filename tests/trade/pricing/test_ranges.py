"""Costs as ranges: what is taken, what is refused, and what stays the same from call to call."""

import pytest

from stillbook import catalogue
from stillbook.cells import ErrorValue

LINES = ([900, 4000, 1800], [1000, 5000, 2000], [1400, 8000, 2600])


@pytest.mark.parametrize(
    ("formula", "arguments", "reason"),
    [
        ("EXPECTEDCOST", (1100, 1000, 1400), "the likely cost does not lie between the low and the high"),
        ("COSTDEVIATION", (900, 1500, 1400), "the likely cost does not lie between the low and the high"),
        ("COSTSUM", ([900, 2100], [1000, 2000], [1400, 2600], 0), "line 2: its likely cost does not lie between"),
        ("COSTSUM", ([900], [1000, 2000], [1400, 2600], 0), "low has 1 lines, likely 2, high 2"),
        ("COSTSUM", (*LINES, 0, ["walls", "doors"]), "trades 2: give ranges of one size"),
        ("COSTSUM", (*LINES, 1.2), "correlation is 1.2: give at least 0 and at most 1"),
        ("COSTSUM", (*LINES, 0, [1, 2, 3]), "give text"),
        ("COSTDRIVERS", ([5], [5], [5], 0), "no line has a range"),
        ("COSTATCONFIDENCE", (1, *LINES, 0), "confidence is 1: give at least 0.01 and at most 0.99"),
        ("COSTATCONFIDENCE", (0.8, *LINES), "correlation is blank"),
    ],
)
def test_refused(formula, arguments, reason):
    found = catalogue.call(formula, *arguments)
    assert isinstance(found, ErrorValue) and reason in found.reason


def test_a_fixed_cost_only_moves_the_sum():
    with_fixed = tuple([*values, 500] for values in LINES)
    assert catalogue.call("COSTATCONFIDENCE", 0.8, *with_fixed, 0.3) == pytest.approx(
        catalogue.call("COSTATCONFIDENCE", 0.8, *LINES, 0.3) + 500, rel=1e-12
    )
    assert catalogue.call("COSTDRIVERS", *with_fixed, 0.3)[0][3] == 0


def test_a_trade_is_told_by_its_words():
    """Capitals and spaces make no other trade; a blank trade is one of its own."""
    alike = catalogue.call("COSTSUM", *LINES, 0.5, ["Walls", " walls", "WALLS "])
    assert alike == catalogue.call("COSTSUM", *LINES, 0.5)
    apart = catalogue.call("COSTSUM", *LINES, 0.5, ["walls", "doors", ""])
    assert apart == catalogue.call("COSTSUM", *LINES, 0)


def test_the_order_of_trades_and_other_trades_change_nothing():
    """Each trade has its own chances: a trade without a range beside it leaves the answer as it was."""
    both = tuple([*values, 300] for values in LINES)
    named = catalogue.call("COSTATCONFIDENCE", 0.5, *both, 0.3, ["walls", "walls", "walls", "air"])
    assert named - 300 == pytest.approx(catalogue.call("COSTATCONFIDENCE", 0.5, *LINES, 0.3, ["walls"] * 3), rel=1e-12)


def test_drivers_add_up_to_one():
    shares = catalogue.call("COSTDRIVERS", *LINES, 0.4, ["walls", "doors", "doors"], "PERT")[0]
    assert sum(shares) == pytest.approx(1, rel=1e-12)


def test_more_confidence_costs_more_and_stays_within_the_ranges():
    costs = [catalogue.call("COSTATCONFIDENCE", c / 100, *LINES, 0.3) for c in range(1, 100)]
    assert costs == sorted(costs)
    assert sum(LINES[0]) < costs[0] and costs[-1] < sum(LINES[2])

"""Margin and markup against the tables and examples that contractors' guides print."""

import pytest

from published.printed import cases, rows
from stillbook import catalogue


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("pricing"))
def test_a_published_example(formula, arguments, expected, tolerance):
    assert catalogue.call(formula, *arguments) == pytest.approx(expected, rel=0, abs=tolerance)


@pytest.mark.parametrize(
    ("given", "percent", "other", "source"),
    [(row["given"], row["percent"], row["other_percent"], row["source"]) for row in rows("margins")],
)
def test_margin_and_markup_tables(given, percent, other, source):
    if given == "markup":
        found = 100 * (1 - 100 / catalogue.call("PRICEFROMMARKUP", 100, f"{percent}%"))
    else:
        found = catalogue.call("PRICEFROMMARGIN", 100, f"{percent}%") - 100
    assert found == pytest.approx(float(other), rel=0, abs=0.005), source


@pytest.mark.parametrize(
    ("cost", "markups", "multiplied", "added"),
    [
        # Ten and ten: 1.21 multiplied, 1.20 added (computed apart).
        (1, (0.10, 0.10), 1.21, 1.20),
        # Contingency 10 % and markup 25 % on 1000: 1375 multiplied, 1350 added (computed apart).
        (1000, (0.10, 0.25), 1375, 1350),
    ],
)
def test_markups_one_upon_another_multiply(cost, markups, multiplied, added):
    price = cost
    for markup in markups:
        price = catalogue.call("PRICEFROMMARKUP", price, markup)
    assert price == pytest.approx(multiplied, rel=1e-12)
    assert catalogue.call("PRICEFROMMARKUP", cost, sum(markups)) == pytest.approx(added, rel=1e-12)

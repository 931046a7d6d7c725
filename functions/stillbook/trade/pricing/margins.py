"""Pricing: from cost to price by margin or by markup, which are not the same."""

from __future__ import annotations

from typing import Annotated

from stillbook.formula import formula
from stillbook.quantities import MONEY, SHARE
from stillbook.readers import Floats, Quantity
from stillbook.results import Number

Cost = Annotated[Floats, Quantity(MONEY, least=0, most=1e12)]
Price = Annotated[Floats, Number(MONEY)]


@formula(
    "PRICEFROMMARGIN",
    family="Taking off and pricing",
    summary="Price at which a share of the price itself is left over the cost",
    example=('STILL_PRICEFROMMARGIN(80000,"20%")', 100000.0),
    source="common practice, no source",
)
def price_from_margin(cost: Cost, margin: Annotated[Floats, Quantity(SHARE, least=0, below=1)]) -> Price:
    """Give the price of which the margin is a share: cost / (1 - margin).

    A margin of 20 % asks a markup of 25 %; a margin of 50 % asks one of 100 %.

    Args:
        cost: Cost of the work, with overhead and contingency if the price is to cover them.
        margin: Share of the price left over the cost, as 0.2 or 20%.

    >>> round(price_from_margin(80_000, 0.2), 6)
    100000.0
    """
    return cost / (1 - margin)


@formula(
    "PRICEFROMMARKUP",
    family="Taking off and pricing",
    summary="Price with a share of the cost added",
    example=('STILL_PRICEFROMMARKUP(80000,"20%")', 96000.0),
    source="common practice, no source",
)
def price_from_markup(cost: Cost, markup: Annotated[Floats, Quantity(SHARE, least=0, below=5)]) -> Price:
    """Give the price with the markup added: cost x (1 + markup).

    A markup of 20 % leaves a margin of 16.7 % of the price. Markups one upon another multiply: ten percent and ten
    percent make 21 percent of the cost, not 20.

    Args:
        cost: Cost of the work.
        markup: Share of the cost added, as 0.2 or 20%.

    >>> round(price_from_markup(80_000, 0.2), 6)
    96000.0
    """
    return cost * (1 + markup)

"""What it costs to better the isolation of a room: a layer more, better seals, the other doors."""

from __future__ import annotations

from typing import Final

from stillbook.templates.parts.priced_lines import ALL_PRICED
from stillbook.templates.parts.walls import material

PRICE_OF_COST: Final = "(1+overhead)*(1+contingency)*(1+level_markup)/(1-margin)"
"""What a direct cost of 1 comes to in the price before tax."""


def price(cost: str) -> str:
    """What a direct cost comes to in the price before tax; blank while a line is to be mended, whose price it may take."""
    return f'=IF({ALL_PRICED},({cost})*{PRICE_OF_COST},"")'


OTHER_DOORS: Final = 'IF(door_arrangement="pair",direct_cost_single,direct_cost_pair)-direct_cost'
"""What the other arrangement of doors changes in direct cost."""

BETTER_SEALED: Final = "(1+seal_share)/2"
"""The share sealed by seals that close half the gap left."""

BETTER_SEALS: Final = 'IF(door_arrangement="pair",2,1)*INDEX(price_costs,MATCH("SEALS",price_codes,0))'
"""What such seals cost."""


def boards_cost(leaf: str, whole: str) -> str:
    """Direct cost of one layer more of a leaf's first board, of so many whole sheets."""
    return f"({whole})*{fitted(f'MATCH({material(leaf, 1)},price_codes,0)')}"


def fitted(at: str) -> str:
    """Direct cost of one piece of what stands at a row of the prices, bought and fitted."""
    labour = f"INDEX(labour_rates,MATCH(INDEX(price_trades,{at}),labour_trades,0))/INDEX(price_rates,{at})"
    return f"(INDEX(price_costs,{at})+{labour})"

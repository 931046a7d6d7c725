"""Programme: which weeks on site each trade takes, one after the other, from the hours of the lines."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Page
from stillbook.templates.parts.unit_costs import TRADES

_TOLD: Final = {"Site": "Finish, site, tests"}
"""What the client reads in place of the name of a trade."""

NOTE: Final = (
    '="About "&work_weeks&IF(work_weeks=1," week"," weeks")&" on site with a crew of "&crew&", from the day the materials are there: a guide. '
    'Waiting for deliveries, drying, inspections and other trades comes on top."'
)


def write(page: Page) -> None:
    """Write the weeks of each trade side by side, on a page of as many columns as there are trades, and what they count."""
    page.heading("Programme", "weeks on site, one trade after the other")
    a_week = "(crew*day_hours*week_days)"
    for place, trade in enumerate(TRADES, start=1):
        before, through = (f"({'+'.join(['0', *(f'INDEX(trade_hours,{n})' for n in range(1, end + 1))])})/{a_week}" for end in (place - 1, place))
        begins, ends = f"(INT(ROUND({before},6))+1)", f"ROUNDUP(ROUND({through},6),0)"
        weeks = f'=IF(INDEX(trade_hours,{place})=0,"–",IF({ends}<={begins},"week "&{begins},"weeks "&{begins}&" to "&{ends}))'
        column = FIRST + place - 1
        page.put(page.at, column, _TOLD.get(trade, trade), font=look.QUIET, align=look.UNWRAPPED)
        page.put(page.at + 1, column, weeks, font=look.STRONG, align=look.UNWRAPPED)
    page.skip(2)

"""Native functions by their definitions, where the engine works them out otherwise; values stand in its form."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from stillbook.workbook.calculation.definitions import comparing, counting, criteria, kinds, lookup, rounding, texts

DEFINED: Final[Mapping[str, Callable[..., Any]]] = {
    **rounding.FUNCTIONS,
    **texts.FUNCTIONS,
    **criteria.FUNCTIONS,
    **lookup.FUNCTIONS,
    **counting.FUNCTIONS,
    **comparing.FUNCTIONS,
}
"""Each in the place of the engine's own function of its name."""

OVER_RANGES: Final[Mapping[str, Callable[..., Any]]] = {**DEFINED, **kinds.FUNCTIONS}
"""Those that give each of many values its own answer."""

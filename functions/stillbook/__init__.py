"""Stillbook: the arithmetic of small sound-isolated rooms, as workbook formulas.

>>> import stillbook
>>> print(stillbook.call("DOORTARGETMASS", side_masses=4.4, width="36 in", height="80 in"))
88.0 pound
>>> print(stillbook.functions.doortargetmass(20, "900 mm", "2 m", units="SI"))
36.0 kilogram
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stillbook import functions
    from stillbook.calling import CallError, call
    from stillbook.units import registry

__version__ = "0.1.0"

__all__ = ["CallError", "__version__", "call", "functions", "registry"]

_HOMES = {
    "CallError": "stillbook.calling",
    "call": "stillbook.calling",
    "functions": "stillbook.functions",
    "registry": "stillbook.units",
}


def __getattr__(name: str) -> Any:
    """What calls the formulas is imported once it is asked for: commands and hosts start without it."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__} has no attribute {name}")
    from importlib import import_module

    home = import_module(_HOMES[name])
    return home if home.__name__ == f"{__name__}.{name}" else getattr(home, name)

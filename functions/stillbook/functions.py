"""Every formula as a Python function under its name in small letters, made from the catalogue when it is asked for.

>>> from stillbook import functions
>>> print(functions.doortargetmass(4.4, "36 in", "80 in"))
88.0 pound

``dir(functions)`` lists them, ``help(functions.doortargetmass)`` tells of one.
"""

from __future__ import annotations

from stillbook.calling import CallError, Function, function
from stillbook.catalogue import formulas


def __getattr__(name: str) -> Function:
    if name.startswith("_"):
        raise AttributeError(f"module {__name__} has no attribute {name}")
    try:
        return function(name)
    except CallError as error:
        raise AttributeError(error.reason) from None


def __dir__() -> list[str]:
    return [name.lower() for name in formulas()]

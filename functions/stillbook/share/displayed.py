"""What a cell's number format shows of its number: the digits, or nothing at all."""

from __future__ import annotations

import re
from typing import Final

from openpyxl.styles.numbers import is_date_format

_LITERAL: Final = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]')
_GENERAL_FIGURES: Final = 10
"""How many figures a cell in the general format shows at most."""


def shown_number(value: float, code: str) -> float:
    """A number cut to the digits that a number format shows, so that a copy holds no more than its page.

    >>> shown_number(11053.4837, "#,##0"), shown_number(0.08625, "0.0%"), shown_number(2 / 3, "General")
    (11053.0, 0.086, 0.6666666667)
    """
    section = _section(value, code)
    if section is None or is_date_format(code) or "?/" in section or "#/" in section:
        return float(f"{value:.15g}")
    if section.strip().casefold() in ("general", "@", ""):
        return float(f"{value:.{_GENERAL_FIGURES}g}")
    mantissa, power, _ = section.upper().partition("E")
    decimals = len(re.findall(r"[0#?]", mantissa.partition(".")[2]))
    if power:
        return float(f"{value:.{decimals}e}")
    thousands = len(re.search(r"[0#?](,*)[^0#?,]*$", mantissa)[1]) if re.search(r"[0#?]", mantissa) else 0  # type: ignore[index]
    decimals += 2 * section.count("%") - 3 * thousands
    return float(round(value, decimals))


def hides(code: str, value: object) -> bool:
    """Whether a number format shows nothing of a value, as ``;;;`` does, or a fixed word in its place.

    >>> hides(";;;", 3.0), hides("0;0;;@", 0.0), hides("#,##0", 3.0), hides("0;-0;0;", "a word"), hides('"yes"', 3.0)
    (True, True, False, True, True)
    """
    sections = _split(code)
    if isinstance(value, bool) or value is None:
        return False
    if isinstance(value, str):
        return len(sections) == 4 and not sections[3]
    if not isinstance(value, int | float):
        return False
    place = 0 if value > 0 else 1 if value < 0 else 2
    section = _LITERAL.sub("", sections[place if place < len(sections) else 0])
    return not (re.search(r"[0#?@]", section) or section.strip().casefold() == "general" or is_date_format(code))


def _section(value: float, code: str) -> str | None:
    """The part of a format for positive, negative or zero numbers, without its fixed words."""
    if "[<" in code or "[>" in code or "[=" in code:
        return None
    sections = _split(code)
    place = 1 if value < 0 and len(sections) > 1 else 2 if value == 0 and len(sections) > 2 else 0
    return _LITERAL.sub("", sections[place])


def _split(code: str) -> list[str]:
    """The sections of a format; a semicolon in quotes parts nothing."""
    pieces = re.findall(r'(?:"[^"]*"|\\.|\[[^\]]*\]|[^;])*(?:;|$)', code or "General")
    sections = [piece.removesuffix(";") for piece in pieces]
    return sections[:-1] if len(sections) > 1 and not sections[-1] and not code.endswith(";") else sections

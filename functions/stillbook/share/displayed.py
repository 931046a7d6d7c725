"""What a cell's number format shows of its value: the digits, the words beside them, or nothing at all."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Final

from stillbook.cells import Cell, exact_fifteen
from stillbook.share.dates import shown_moment
from stillbook.share.plain_formulas import spaced
from stillbook.share.signs import seen_signs

_PIECE: Final = re.compile(
    r'"(?P<quoted>[^"]*)"?|\\(?P<one>.)|_(?P<gap>.)|\*(?P<fill>.)|\[(?P<bracket>[^\]]*)\]|(?P<general>General)'
    r"|(?P<half>AM/PM|A/P)|(?P<other>.)",
    re.IGNORECASE | re.DOTALL,
)
_CONDITION: Final = re.compile(r"(<=|>=|<>|<|>|=)\s*(-?[\d.]+(?:E[+-]?\d+)?)", re.IGNORECASE)
_COLOUR: Final = re.compile(r"black|blue|cyan|green|magenta|red|white|yellow|color\s*\d{1,2}", re.IGNORECASE)
_ELAPSED: Final = re.compile(r"(h+|m+|s+)", re.IGNORECASE)
_LOCALE: Final = re.compile(r"\$([^-\]]*)(-[0-9A-F]{1,4})?", re.IGNORECASE)
_FRACTION: Final = re.compile(r"([0#?,]*)[^0#?/]*?([0#?]+)\s*/\s*([0#?]+|\d+)")
_OF_NUMBERS: Final = frozenset("0123456789#?.,%/Ee+-@ ")
_OF_DATES: Final = frozenset("yYmMdDhHsSbBgG")
_GENERAL_FIGURES: Final = 10
"""How many figures a cell in the general format shows at most."""

_NUMERIC_SECTIONS: Final = 3
_LONGEST_MOMENT: Final = 19
_SPILL: Final = 0.6
"""How much of a figure's width a number may lack before a page shows signs in its place."""


@dataclass(frozen=True, slots=True)
class Face:
    """What a page shows of a cell.

    Args:
        value: The value with no more digits than are shown; a text where the format shows only words; None for nothing.
        code: A number format that shows just this, without what the cell's own would show of other values.
        words: The words that the format adds.
        colour: The colour that the format names; empty without one.
    """

    value: Cell
    code: str = "General"
    words: tuple[str, ...] = ()
    colour: str = ""


def face(value: Cell, code: str, *, starts_1904: bool = False) -> Face:
    """What a number format shows of a value.

    >>> face(94.5, "#,##0").value, face(0.08625, "0.0%").value, face(1.005, "0.00").value
    (95.0, 0.086, 1.01)
    >>> face(-2.5, '0;(0);"none, margin 35%"')
    Face(value=-3.0, code='(0);(0)', words=(), colour='')
    >>> face(3.0, ";;;").value, face(3.0, '"yes"').value, face("a word", '0;0;0;"hidden"').value
    (None, 'yes', 'hidden')

    Args:
        value: The cell's value.
        code: The number format.
        starts_1904: Whether the workbook counts dates from 1904.
    """
    sections = _split(code)
    if isinstance(value, str):
        return _text_face(value, sections)
    if value is None or isinstance(value, bool) or not isinstance(value, int | float):
        return Face(value)
    number = float(value)
    section, minus_is_written = _section(number, sections)
    pieces = _pieces(section)
    words = _words(pieces)
    bare = _bare(pieces)
    colour = next((text for kind, text in pieces if kind == "bracket" and _COLOUR.fullmatch(text)), "")
    signs = "".join(text for kind, text in pieces if kind in ("other", "general", "half") or _is_elapsed(kind, text))
    if not re.search(r"[0#?@]", signs) and not _has_letters(signs):
        shown = "".join(text for kind, text in pieces if kind in ("quoted", "one", "other", "fill")) + _symbols(pieces)
        return Face(shown if shown.strip() else None, words=words, colour=colour)
    kept = f"{bare};{bare}" if minus_is_written else bare
    return Face(_rounded(number, signs, pieces, starts_1904=starts_1904), kept, words, colour)


def shown_number(value: float, code: str, *, starts_1904: bool = False) -> float:
    """A number rounded to the digits that a number format shows, half away from zero as spreadsheets do.

    >>> shown_number(11053.4837, "#,##0"), shown_number(94.5, "#,##0"), shown_number(2 / 3, "General")
    (11053.0, 95.0, 0.6666666667)
    """
    shown = face(value, code, starts_1904=starts_1904).value
    return value if shown is None or isinstance(shown, str) else float(shown)  # type: ignore[arg-type]


def fitting(value: float, code: str, width: float, words: Sequence[str] = ()) -> float | None:
    """A number with the figures for which a cell has room; None where it shows signs instead, as for any too wide.

    >>> fitting(73519.25, "General", 6), fitting(73519.25, "#,##0.00", 6), fitting(73519.25, "#,##0.00", 9)
    (73519.0, None, 73519.25)

    Args:
        value: The number as its format shows it.
        code: The number format.
        width: The width of the cell, in figures.
        words: The words that the format adds.
    """
    room = width + _SPILL
    signs = "".join(text for kind, text in _pieces(_split(code)[0]) if kind in ("other", "general", "half"))
    if "general" in signs.casefold():
        least = len(f"{abs(value):.0f}") + (value < 0)
        return None if least > room else float(f"{value:.{max(0, min(9, int(room - least - 1)))}f}")
    if (places := decimals_of(code)) is None:
        return value if min(len(signs), _LONGEST_MOMENT) * 0.8 <= room else None
    if "E" in signs.upper():
        return value if len(signs) * 0.8 <= room else None
    percents = signs.count("%")
    size = abs(value) * 100**percents * 10.0 ** min(0, places - 2 * percents)
    figures = len(f"{size:.{max(0, places - 2 * percents)}f}") + (value < 0)
    marks = (figures - 1) // 3 * 0.4 if "," in signs.partition(".")[0] and size >= 1000 else 0.0
    return value if figures * 0.95 + marks * 0.5 + sum(map(len, words)) * 0.4 <= room else None


def decimals_of(code: str) -> int | None:
    """How many decimals a number format shows of a positive number; None where it does not say.

    >>> decimals_of("#,##0.00"), decimals_of("0%"), decimals_of("General"), decimals_of("yyyy-mm-dd")
    (2, 2, None, None)
    """
    signs = "".join(text for kind, text in _pieces(_split(code)[0]) if kind in ("other", "general", "half"))
    if _has_letters(signs) or not re.search(r"[0#?]", signs) or "/" in signs or "@" in signs:
        return None
    return _places(signs.upper())


def quiet_code(code: str, shown: frozenset[str]) -> str:
    """A number format for a cell whose value its reader changes: without conditions, and without words not shown yet.

    >>> quiet_code('#,##0.00;-#,##0.00;"margin 35%"', frozenset())
    '#,##0.00;-#,##0.00;'
    """
    kept = []
    for section in _split(code):
        pieces = [
            (kind, text)
            for kind, text in _pieces(section)
            if kind not in ("quoted", "one", "bracket")
            or _is_quiet(_symbol(text) if kind == "bracket" else text, shown)
        ]
        kept.append(_bare(pieces))
    return ";".join(kept)


def _is_quiet(text: str, shown: frozenset[str]) -> bool:
    """Whether a word of a format says nothing that the page does not show."""
    return not any(sign.isalnum() for sign in text) or spaced(text) in shown


def words_of(code: str) -> list[str]:
    """The words that a number format can show in any of its sections.

    >>> words_of('0" kg";-0;"no "0')
    ['kg', 'no']
    """
    return [word for section in _split(code) for word in _words(_pieces(section))]


# --- sections and their pieces ----------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def _split(code: str) -> tuple[str, ...]:
    """The sections of a format; a semicolon in quotes parts nothing."""
    sections = [""]
    for match in _PIECE.finditer(code or "General"):
        if match[0] == ";":
            sections.append("")
        else:
            sections[-1] += match[0]
    return tuple(sections)


@lru_cache(maxsize=4096)
def _pieces(section: str) -> tuple[tuple[str, str], ...]:
    """The pieces of a section with their kinds; bare signs that stand for themselves count as written words."""
    found = []
    is_fraction = "/" in section
    for match in _PIECE.finditer(section):
        kind = match.lastgroup or "other"
        text = seen_signs(match[kind])
        if not text and match[kind]:
            continue
        digit = text in "123456789" and not is_fraction
        if kind == "other" and (digit or text not in _OF_NUMBERS | _OF_DATES):
            kind = "one"
        found.append((kind, text))
    return tuple(found)


def _is_elapsed(kind: str, text: str) -> bool:
    return kind == "bracket" and _ELAPSED.fullmatch(text) is not None


def _symbol(bracket: str) -> str:
    found = _LOCALE.fullmatch(bracket)
    return found[1] if found else ""


def _symbols(pieces: Sequence[tuple[str, str]]) -> str:
    return "".join(_symbol(text) for kind, text in pieces if kind == "bracket")


def _words(pieces: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    """What a section writes out, run by run."""
    runs = [""]
    for kind, text in pieces:
        if kind in ("quoted", "one", "fill"):
            runs[-1] += text
        elif kind == "bracket" and _symbol(text):
            runs[-1] += _symbol(text)
        else:
            runs.append("")
    return tuple(run.strip() for run in runs if any(sign.isalnum() for sign in run))


def _bare(pieces: Sequence[tuple[str, str]]) -> str:
    """A section with what it shows and nothing else: no condition, no sign that only takes room."""
    made = []
    for kind, text in pieces:
        if kind == "quoted":
            made.append(f'"{text}"')
        elif kind == "one":
            made.append(text if text in "$()€£:!^&'~{}<>=" else f"\\{text}" if text != '"' else r"\"")
        elif kind == "gap":
            made.append(f"_{text}" if not text.isalnum() else "_-")
        elif kind == "fill":
            made.append(f"*{text}")
        elif kind == "bracket":
            if _COLOUR.fullmatch(text) or _ELAPSED.fullmatch(text):
                made.append(f"[{text}]")
            elif found := _LOCALE.fullmatch(text):
                made.append(f"[${found[1]}{found[2] or ''}]")
        else:
            made.append(text)
    return "".join(made)


def _section(value: float, sections: Sequence[str]) -> tuple[str, bool]:
    """The section for a number, and whether it writes the minus sign itself."""
    numeric = sections[:_NUMERIC_SECTIONS]
    conditions = [_condition(section) for section in numeric]
    if not any(conditions):
        if len(numeric) == 1 or value > 0 or (value == 0 and len(numeric) < _NUMERIC_SECTIONS):
            return numeric[0], False
        return (numeric[1], True) if value < 0 else (numeric[2], False)
    for place, (section, condition) in enumerate(zip(numeric, conditions, strict=True)):
        last = place == len(numeric) - 1
        usual = last or (value > 0 if place == 0 else value < 0)
        if usual if condition is None else _holds(value, *condition):
            below = condition is not None and condition[0] in ("<", "<=") and condition[1] <= 0
            return section, value < 0 and (below or (place == 1 and condition is None and not last))
    return numeric[-1], False


def _condition(section: str) -> tuple[str, float] | None:
    for kind, text in _pieces(section):
        if kind == "bracket" and (found := _CONDITION.fullmatch(text.strip())):
            try:
                return found[1], float(found[2])
            except ValueError:
                return None
    return None


def _holds(value: float, sign: str, limit: float) -> bool:
    return {
        "<": value < limit,
        "<=": value <= limit,
        ">": value > limit,
        ">=": value >= limit,
        "=": value == limit,
        "<>": value != limit,
    }[sign]


def _text_face(value: str, sections: Sequence[str]) -> Face:
    section = sections[3] if len(sections) > _NUMERIC_SECTIONS else sections[-1] if "@" in sections[-1] else None
    if section is None:
        return Face(value)
    pieces = _pieces(section)
    words = _words(pieces)
    colour = next((text for kind, text in pieces if kind == "bracket" and _COLOUR.fullmatch(text)), "")
    if ("other", "@") in pieces or any(kind == "general" for kind, _ in pieces):
        return Face(value, _bare(pieces), words, colour)
    shown = "".join(text for kind, text in pieces if kind in ("quoted", "one", "other"))
    return Face(shown if shown.strip() else None, words=words, colour=colour)


# --- digits -----------------------------------------------------------------------------------------------------------


def _has_letters(signs: str) -> bool:
    """Whether a section is general, or shows a date or a time."""
    plain = re.sub(r"[0#?.][eE][+-]", "", signs)
    return "general" in plain.casefold() or any(sign in _OF_DATES for sign in plain)


def _rounded(value: float, signs: str, pieces: Sequence[tuple[str, str]], *, starts_1904: bool) -> float:
    exact = exact_fifteen(value)
    if "general" in signs.casefold() or signs.strip() == "@":
        return float(Context(prec=_GENERAL_FIGURES, rounding=ROUND_HALF_UP).create_decimal(exact))
    if _has_letters(signs):
        elapsed = next((text for kind, text in pieces if _is_elapsed(kind, text)), "")
        return shown_moment(value, signs, elapsed=elapsed, starts_1904=starts_1904)
    if found := _FRACTION.search(signs):
        return _as_fraction(exact, *found.groups())
    upper = signs.upper()
    if "E" in upper and exact:
        mantissa = upper.partition("E")[0]
        step = max(1, len(re.findall(r"[0#?]", mantissa.partition(".")[0])))
        power = exact.adjusted() // step * step
        return _to_places(exact, len(re.findall(r"[0#?]", mantissa.partition(".")[2])) - power)
    return _to_places(exact, _places(upper))


def _places(signs: str) -> int:
    """The place of the last digit shown, counted from the decimal point."""
    before, _, after = signs.partition(".")
    scaling = re.search(r"[0#?](,+)[^0#?,]*$", before)
    more = re.search(r"[0#?](,+)[^0#?,]*$", after)
    thousands = len(scaling[1]) if scaling else 0
    thousands += len(more[1]) if more else 0
    return len(re.findall(r"[0#?]", after)) + 2 * signs.count("%") - 3 * thousands


def _to_places(exact: Decimal, places: int) -> float:
    if exact.adjusted() + places > 14:
        return float(exact)
    rounded = float(exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP))
    return rounded or 0.0


def _as_fraction(exact: Decimal, whole: str, _: str, below: str) -> float:
    size = abs(Fraction(exact))
    base = size.numerator // size.denominator if re.search(r"[0#?]", whole) else 0
    rest = size - base
    if below.isdigit() and int(below):
        near = Fraction(int(rest * int(below) + Fraction(1, 2)), int(below))
    else:
        near = rest.limit_denominator(10 ** len(below) - 1)
    return float(base + near) * (-1 if exact < 0 else 1)

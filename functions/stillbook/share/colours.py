"""The colours of a workbook as a screen shows them, and whether one can be read on another."""

from __future__ import annotations

import colorsys
import re
from typing import Final

from stillbook.workbook.file.markup import decimal, whole
from stillbook.workbook.file.parts import DRAWING, MAIN, Element, local

BLACK: Final = "000000"
WHITE: Final = "FFFFFF"
LEAST_CONTRAST: Final = 1.3
"""The least ratio of luminances, as web pages reckon it, at which text is taken to be seen: pale grey on white has
1.4."""

_A: Final = f"{{{DRAWING}}}"
_M: Final = f"{{{MAIN}}}"
_SCHEME: Final = (
    "lt1", "dk1", "lt2", "dk2", "accent1", "accent2", "accent3", "accent4", "accent5", "accent6", "hlink", "folHlink",
)  # fmt: skip
_ALIASES: Final = {"bg1": "lt1", "tx1": "dk1", "bg2": "lt2", "tx2": "dk2"}
_PLAIN_COLOURS: Final = "FFFFFF 000000 EEECE1 1F497D 4F81BD C0504D 9BBB59 8064A2 4BACC6 F79646 0000FF 800080"
_PLAIN_SCHEME: Final = dict(zip(_SCHEME, _PLAIN_COLOURS.split(), strict=True))
_NAMED: Final = {
    "black": BLACK, "white": WHITE, "red": "FF0000", "blue": "0000FF", "green": "00FF00", "yellow": "FFFF00",
    "magenta": "FF00FF", "cyan": "00FFFF",
}  # fmt: skip
_FIRST_NUMBERED: Final = 8
"""``[Color1]`` of a number format is the ninth colour of the palette."""

_SYSTEM: Final = {64: BLACK, 65: WHITE}
_HEX: Final = re.compile(r"[0-9A-Fa-f]{6}|[0-9A-Fa-f]{8}")


class Palette:
    """The theme and the numbered colours of a workbook.

    Args:
        theme: The theme's tree; None without one.
        styles: The tree of the styles.
    """

    def __init__(self, theme: Element, styles: Element) -> None:
        from openpyxl.styles.colors import COLOR_INDEX

        self.scheme = dict(_PLAIN_SCHEME)
        holder = theme.find(f".//{_A}clrScheme") if theme is not None else None
        for entry in holder if holder is not None else ():
            if local(entry) in self.scheme and len(entry):
                found = entry[0].get("lastClr") or entry[0].get("val", "")
                if _HEX.fullmatch(found):
                    self.scheme[local(entry)] = found[-6:].upper()
        self.numbered = [colour[-6:] for colour in COLOR_INDEX[:64]]
        own = styles.findall(f"{_M}colors/{_M}indexedColors/{_M}rgbColor") if styles is not None else []
        self.has_own_numbers = bool(own)
        for place, entry in enumerate(own[:64]):
            if _HEX.fullmatch(entry.get("rgb", "")):
                self.numbered[place] = entry.get("rgb")[-6:].upper()

    def colour(self, element: Element, automatic: str) -> str:
        """A colour element of a sheet or of the styles, as six hexadecimal digits."""
        if element is None or element.get("auto") in ("1", "true"):
            return automatic
        if (rgb := element.get("rgb")) is not None:
            return rgb[-6:].upper() if _HEX.fullmatch(rgb) else automatic
        tint = decimal(element.get("tint"), 0.0)
        if element.get("theme") is not None:
            place = whole(element.get("theme"), -1)
            return tinted(self.scheme[_SCHEME[place]], tint) if 0 <= place < len(_SCHEME) else automatic
        if element.get("indexed") is not None:
            place = whole(element.get("indexed"), -1)
            found = self.numbered[place] if 0 <= place < len(self.numbered) else _SYSTEM.get(place, automatic)
            return tinted(found, tint)
        return automatic

    def named(self, name: str, automatic: str) -> str:
        """A colour as a number format names it: ``White``, ``Color 12``."""
        word = name.casefold().replace(" ", "")
        if word.startswith("color") and word[5:].isdigit():
            place = int(word[5:]) + _FIRST_NUMBERED - 1
            return self.numbered[place] if _FIRST_NUMBERED <= place < len(self.numbered) else automatic
        return _NAMED.get(word, automatic)

    def drawn(self, fill: Element) -> str | None:
        """The colour of a ``solidFill`` or of another holder of one colour in a drawing; None where it is clear or
        cannot be told."""
        if fill is None or not len(fill):
            return None
        element = fill[0]
        kind, given = local(element), element.get("val", "")
        if kind == "srgbClr" and _HEX.fullmatch(given):
            found = given[-6:].upper()
        elif kind == "sysClr" and _HEX.fullmatch(element.get("lastClr", "")):
            found = element.get("lastClr").upper()
        elif kind == "schemeClr" and _ALIASES.get(given, given) in self.scheme:
            found = self.scheme[_ALIASES.get(given, given)]
        else:
            return None
        light, more = 1.0, 0.0
        for change in element:
            amount = decimal(change.get("val"), 0.0) / 100_000
            if local(change) == "alpha" and amount < 0.5:
                return None
            if local(change) == "lumMod":
                light = amount
            elif local(change) == "lumOff":
                more = amount
        return _with_light(found, lambda lightness: lightness * light + more)


def tinted(colour: str, tint: float) -> str:
    """A colour made lighter or darker.

    >>> tinted("000000", 1.0), tinted("FFFFFF", -0.5), tinted("204060", 0.0)
    ('FFFFFF', '808080', '204060')

    Args:
        colour: Six hexadecimal digits.
        tint: From -1, black, to 1, white.
    """
    if not tint:
        return colour
    return _with_light(colour, lambda light: light * (1 + tint) if tint < 0 else light * (1 - tint) + tint)


def _with_light(colour: str, change: object) -> str:
    hue, light, strength = colorsys.rgb_to_hls(*(part / 255 for part in bytes.fromhex(colour)))
    light = min(1.0, max(0.0, change(light)))  # type: ignore[operator]
    return "".join(f"{int(part * 255 + 0.5):02X}" for part in colorsys.hls_to_rgb(hue, light, strength))


def mixed(first: str, second: str, share: float) -> str:
    """A colour between two others.

    >>> mixed("000000", "FFFFFF", 0.5)
    '808080'

    Args:
        first: Six hexadecimal digits.
        second: Six hexadecimal digits.
        share: How much of the first is in it, from 0 to 1.
    """
    pairs = zip(bytes.fromhex(first), bytes.fromhex(second), strict=True)
    return "".join(f"{int(a * share + b * (1 - share) + 0.5):02X}" for a, b in pairs)


def can_be_read(ink: str, ground: str) -> bool:
    """Whether text in one colour is seen on another.

    >>> can_be_read("000000", "FFFFFF"), can_be_read("FFFFFF", "FEFEFE"), can_be_read("D9D9D9", "FFFFFF")
    (True, False, True)
    """
    first, second = sorted((_luminance(ink), _luminance(ground)))
    return (second + 0.05) / (first + 0.05) >= LEAST_CONTRAST


def _luminance(colour: str) -> float:
    parts = [part / 255 for part in bytes.fromhex(colour)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

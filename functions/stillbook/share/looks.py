"""What of a cell's style decides whether it is seen and may be typed into."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from stillbook.share.displayed import hides
from stillbook.workbook.file.markup import decimal, whole
from stillbook.workbook.file.parts import MAIN, Element

_WHITE: Final = {"FFFFFFFF", "00FFFFFF"}


@dataclass(frozen=True, slots=True)
class Look:
    """What of a cell's style decides whether it is seen and may be typed into.

    Args:
        code: Its number format.
        invisible: Whether its text has the colour of its ground.
        unlocked: Whether it may be typed into while the sheet is protected.
    """

    code: str
    invisible: bool
    unlocked: bool

    def hides(self, value: object) -> bool:
        """Whether a value in this style is not seen."""
        return self.invisible or hides(self.code, value)


def looks(styles: Element) -> list[Look]:
    """The look of each cell style, by its number."""
    from openpyxl.styles.numbers import BUILTIN_FORMATS

    own = {whole(e.get("numFmtId")): e.get("formatCode", "") for e in _all(styles, "numFmts", "numFmt")}
    codes = {**BUILTIN_FORMATS, **own}
    fonts, fills = _all(styles, "fonts", "font"), _all(styles, "fills", "fill")
    found = []
    for style in _all(styles, "cellXfs", "xf"):
        font, fill = _at(fonts, style.get("fontId")), _at(fills, style.get("fillId"))
        protection = style.find(f"{{{MAIN}}}protection")
        found.append(
            Look(
                codes.get(whole(style.get("numFmtId")), "General"),
                _ink(font) is not None and _ink(font) == _ground(fill),
                protection is not None and protection.get("locked") in ("0", "false"),
            )
        )
    return found or [Look("General", False, False)]


def _all(styles: Element, group: str, kind: str) -> list[Element]:
    holder = styles.find(f"{{{MAIN}}}{group}")
    return [] if holder is None else holder.findall(f"{{{MAIN}}}{kind}")


def _at(items: list[Element], number: str | None) -> Element:
    return items[whole(number)] if 0 <= whole(number, -1) < len(items) else None


def _ink(font: Element) -> str | None:
    colour = font.find(f"{{{MAIN}}}color") if font is not None else None
    return _colour(colour)


def _ground(fill: Element) -> str | None:
    """The colour behind the text; white where there is no fill."""
    pattern = fill.find(f"{{{MAIN}}}patternFill") if fill is not None else None
    if pattern is None or pattern.get("patternType", "none") in ("none", "gray125"):
        return "white"
    return _colour(pattern.find(f"{{{MAIN}}}fgColor"))


def _colour(element: Element) -> str | None:
    """A colour in one spelling: white is the first colour of a theme too."""
    if element is None:
        return None
    rgb = element.get("rgb", "").upper()
    if rgb in _WHITE or (element.get("theme") == "0" and decimal(element.get("tint"), 0) == 0):
        return "white"
    return rgb[-6:] or f"theme {element.get('theme')} {element.get('tint', '')} {element.get('indexed', '')}"

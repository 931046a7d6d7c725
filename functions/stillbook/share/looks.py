"""What of a cell's style decides whether its text is seen and may be typed into."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from stillbook.share.colours import BLACK, WHITE, Palette, can_be_read, mixed, tinted
from stillbook.workbook.file.markup import decimal, whole
from stillbook.workbook.file.package import TableArea
from stillbook.workbook.file.parts import MAIN, Element
from stillbook.workbook.file.sheet import Key

M: Final = f"{{{MAIN}}}"
LEAST_SIZE: Final = 4.0
"""Smaller type than this, in points, is not read."""

_USUAL_SIZE: Final = 11.0
_MOST_INDENT: Final = 60
_BROKEN: Final = ("justify", "distributed")
"""Alignments that break a text into lines by themselves."""

_TABLES: Final = re.compile(r"TableStyle(Light|Medium|Dark)(\d{1,2})")
_TABLE_COLOURS: Final = ("dk1", "accent1", "accent2", "accent3", "accent4", "accent5", "accent6")

PATTERNS: Final = {
    "gray0625": 0.06, "gray125": 0.125, "lightGray": 0.25, "lightHorizontal": 0.25, "lightVertical": 0.25,
    "lightDown": 0.25, "lightUp": 0.25, "lightGrid": 0.4, "lightTrellis": 0.4, "mediumGray": 0.5, "darkGray": 0.75,
    "darkHorizontal": 0.5, "darkVertical": 0.5, "darkDown": 0.5, "darkUp": 0.5, "darkGrid": 0.5, "darkTrellis": 0.75,
}  # fmt: skip
"""How much of a pattern has its own colour; the rest has the colour behind it."""


@dataclass(frozen=True, slots=True)
class Look:
    """What of a cell's style decides whether its text is seen and may be typed into.

    Args:
        code: Its number format.
        ink: The colour of its text.
        grounds: The colours behind it.
        size: The size of its type, in points.
        wraps: Whether its text is broken into lines.
        pushed_out: Whether it is indented out of any cell.
        unlocked: Whether it may be typed into while the sheet is protected.
        align: Where its text stands in the width of the cell: a word of the file, empty where the value decides.
        is_top: Whether its first line stands at the top of the cell.
        turn: By how many degrees it is turned; 255 for letters under each other.
        shrinks: Whether its type is made smaller until it fits.
        has_ink: Whether the colour of its text is its own: that of all cells is changed by the look of a table.
        has_ground: Whether it has a ground of its own, which no look of a table changes.
    """

    code: str
    ink: str
    grounds: tuple[str, ...]
    size: float
    wraps: bool
    pushed_out: bool
    unlocked: bool
    align: str = ""
    is_top: bool = False
    turn: int = 0
    shrinks: bool = False
    has_ink: bool = False
    has_ground: bool = False

    def shows(self, *, ink: str = "", size: float | None = None) -> bool:
        """Whether text in this style is seen.

        Args:
            ink: Another colour for the text than the style's.
            size: Another size.
        """
        big = (self.size if size is None else size) >= LEAST_SIZE
        return big and not self.pushed_out and all(can_be_read(ink or self.ink, ground) for ground in self.grounds)


def looks(styles: Element, palette: Palette) -> list[Look]:
    """The look of each cell style, by its number."""
    codes = format_codes(styles)
    fonts, fills = members(styles, "fonts", "font"), members(styles, "fills", "fill")
    usual = _colour_of(_at(fonts, "0"))
    found = []
    for style in members(styles, "cellXfs", "xf"):
        font, fill = _at(fonts, style.get("fontId")), _at(fills, style.get("fillId"))
        protection, alignment = style.find(f"{M}protection"), style.find(f"{M}alignment")
        given = alignment.attrib if alignment is not None else {}
        found.append(
            Look(
                codes.get(whole(style.get("numFmtId")), "General"),
                palette.colour(font.find(f"{M}color") if font is not None else None, BLACK),
                grounds(fill, palette),
                size_of(font, _USUAL_SIZE),
                given.get("wrapText") in ("1", "true") or given.get("horizontal") in _BROKEN,
                whole(given.get("indent")) > _MOST_INDENT,
                protection is not None and protection.get("locked") in ("0", "false"),
                _align(given),
                given.get("vertical") == "top",
                whole(given.get("textRotation")),
                given.get("shrinkToFit") in ("1", "true"),
                _colour_of(font) != usual,
                _is_filled(fill),
            )
        )
    return found or [Look("General", BLACK, (WHITE,), _USUAL_SIZE, wraps=False, pushed_out=False, unlocked=False)]


def _colour_of(font: Element) -> dict[str, str]:
    colour = font.find(f"{M}color") if font is not None else None
    return {} if colour is None else dict(colour.attrib)


def _is_filled(fill: Element) -> bool:
    if fill is None:
        return False
    pattern = fill.find(f"{M}patternFill")
    return pattern.get("patternType", "none") != "none" if pattern is not None else len(fill) > 0


def _align(given: Mapping[str, str]) -> str:
    """Where a text stands in its cell: at the right where nothing is said and it is read from there."""
    align = given.get("horizontal", "")
    return "right" if align in ("", "general") and given.get("readingOrder") == "2" else align


def grounds_of_table(table: TableArea, at: Key, palette: Palette) -> tuple[str, ...] | None:
    """The colours that the look of a table may put behind a cell; None where its owner made that look.

    A program's own looks go round the theme: one in black, one in each of six accents, in three families, with a
    strong head and pale rows but for the dark family.
    """
    if (known := _TABLES.fullmatch(table.look)) is None:
        return None
    family, place = known[1], int(known[2]) - 1
    if family == "Dark":
        tints = (0.0, 0.8, 0.6, 0.4, -0.25, -0.5)
        return tuple(tinted(palette.scheme[name], tint) for name in _TABLE_COLOURS for tint in tints)
    colour = palette.scheme[_TABLE_COLOURS[place % len(_TABLE_COLOURS)]]
    rows = (table.area.first_row if table.has_heading_row else 0, table.area.last_row if table.has_totals_row else 0)
    is_strong = at[0] in rows or (table.marks_columns and at[1] in (table.area.first_column, table.area.last_column))
    pale = tuple(tinted(colour, tint) for tint in (0.8, 0.6))
    if not is_strong or (family == "Light" and place // len(_TABLE_COLOURS) != 1):
        return pale
    return (*pale, palette.scheme["dk1"] if family == "Medium" and place // len(_TABLE_COLOURS) == 2 else colour)


def format_codes(styles: Element) -> dict[int, str]:
    """The number formats by their numbers."""
    from openpyxl.styles.numbers import BUILTIN_FORMATS

    own = {whole(e.get("numFmtId")): e.get("formatCode", "") for e in members(styles, "numFmts", "numFmt")}
    return {**BUILTIN_FORMATS, **own}


def members(styles: Element, group: str, kind: str) -> list[Element]:
    """The entries of one list of the styles."""
    holder = styles.find(f"{M}{group}")
    return [] if holder is None else holder.findall(f"{M}{kind}")


def _at(items: list[Element], number: str | None) -> Element:
    return items[whole(number)] if 0 <= whole(number) < len(items) else None


def size_of(font: Element, usual: float) -> float:
    """The size of a font or of a run of text, in points."""
    size = font.find(f"{M}sz") if font is not None else None
    return usual if size is None else decimal(size.get("val"), usual)


def grounds(fill: Element, palette: Palette) -> tuple[str, ...]:
    """The colours behind a text; white where there is no fill."""
    if fill is None:
        return (WHITE,)
    stops = fill.findall(f"{M}gradientFill/{M}stop/{M}color")
    if stops:
        return tuple(palette.colour(stop, WHITE) for stop in stops)
    pattern = fill.find(f"{M}patternFill")
    kind = pattern.get("patternType", "none") if pattern is not None else "none"
    if kind == "none":
        return (WHITE,)
    front = palette.colour(pattern.find(f"{M}fgColor"), BLACK)
    if kind == "solid":
        return (front if pattern.find(f"{M}fgColor") is not None else WHITE,)
    behind = palette.colour(pattern.find(f"{M}bgColor"), WHITE)
    share = PATTERNS.get(kind, 0.5)
    return (front if share > 0.5 else behind, mixed(front, behind, share))

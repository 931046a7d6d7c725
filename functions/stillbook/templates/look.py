"""How a page looks: one ink, one accent, one colour for inputs. Each meaning also shows without colour."""

from __future__ import annotations

from typing import Final

from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side

FACE: Final = "Calibri"
INK: Final = "22303C"
QUIET_INK: Final = "5B6B78"
ACCENT: Final = "2F6F73"
RULE: Final = "B8C4CC"
INPUT_FILL: Final = "FBF1DC"
HEAD_FILL: Final = "E8EEEF"
CAUTION_EDGE: Final = "8A3B12"

TITLE: Final = Font(name=FACE, size=18, bold=True, color=INK)
PURPOSE: Final = Font(name=FACE, size=10.5, color=QUIET_INK)
HEADING: Final = Font(name=FACE, size=12, bold=True, color=ACCENT)
BODY: Final = Font(name=FACE, size=10.5, color=INK)
STRONG: Final = Font(name=FACE, size=10.5, bold=True, color=INK)
QUIET: Final = Font(name=FACE, size=9, color=QUIET_INK)
SMALL: Final = Font(name=FACE, size=9, color=INK)
STRONG_SMALL: Final = Font(name=FACE, size=9, bold=True, color=INK)
DRAFT: Final = Font(name=FACE, size=14, bold=True, color=CAUTION_EDGE)
LINK: Final = Font(name=FACE, size=9, color=ACCENT, underline="single")
FIGURE: Final = Font(name=FACE, size=16, bold=True, color=INK)

_thin = Side(style="thin", color=RULE)
_hair = Side(style="hair", color=RULE)
_accent = Side(style="medium", color=ACCENT)
_input = Side(style="thin", color="9C7A2E")
_caution = Side(style="thick", color=CAUTION_EDGE)

UNDER_TITLE: Final = Border(bottom=_accent)
UNDER_HEADING: Final = Border(bottom=_thin)
ROW: Final = Border(bottom=_hair)
NONE: Final = Border()
HEAD_ROW: Final = Border(top=_thin, bottom=_thin)
TOTAL_ROW: Final = Border(top=_thin, bottom=Side(style="double", color=INK))
INPUT_BOX: Final = Border(left=_input, right=_input, top=_input, bottom=_input)
CAUTION: Final = Border(left=_caution)
SIGNED: Final = Border(bottom=Side(style="thin", color=INK))
BESIDE: Final = Border(left=_thin)
"""At the left of what stands beside something else, as a conditional format holds it."""

INPUT: Final = PatternFill("solid", fgColor=INPUT_FILL)
HEAD: Final = PatternFill("solid", fgColor=HEAD_FILL)

MARKED_INPUT: Final = PatternFill("solid", bgColor=INPUT_FILL)
"""The fill of inputs as a conditional format holds it."""

MARKED_CAUTION: Final = PatternFill("solid", bgColor="F6E6DD")
"""The fill of rows that fail, as a conditional format holds it."""

UNLOCKED: Final = Protection(locked=False)
LOCKED: Final = Protection(locked=True)
LEFT: Final = Alignment(horizontal="left", vertical="center", wrap_text=True)
BOXED: Final = Alignment(horizontal="left", vertical="center", indent=1, wrap_text=True)
BOXED_RIGHT: Final = Alignment(horizontal="right", vertical="center", indent=1)
MARKED: Final = Alignment(horizontal="left", vertical="center", indent=1, wrap_text=True)
UNDER: Final = Alignment(horizontal="left", vertical="bottom", wrap_text=True)
UNIT: Final = Alignment(horizontal="left", vertical="center", indent=1, wrap_text=True)
RIGHT: Final = Alignment(horizontal="right", vertical="center")
UNWRAPPED: Final = Alignment(horizontal="left", vertical="center")
UNWRAPPED_RIGHT: Final = Alignment(horizontal="right", vertical="center")
HEAD_RIGHT: Final = Alignment(horizontal="right", vertical="center", wrap_text=True)
SHRUNK: Final = Alignment(horizontal="left", vertical="center", shrink_to_fit=True)
SHRUNK_UNIT: Final = Alignment(horizontal="left", vertical="center", indent=1, shrink_to_fit=True)
SHRUNK_RIGHT: Final = Alignment(horizontal="right", vertical="center", shrink_to_fit=True)
TOP_LEFT: Final = Alignment(horizontal="left", vertical="top", wrap_text=True)

OPTION: Final = Alignment(horizontal="left", vertical="top", indent=1, wrap_text=True)
OPTION_FOOT: Final = Alignment(horizontal="left", vertical="bottom", indent=1, wrap_text=True)
CENTRED: Final = Alignment(horizontal="center", vertical="center", wrap_text=True)

WHOLE: Final = "#,##0"
ONE: Final = "#,##0.0"
TWO: Final = "#,##0.00"
THREE: Final = "0.000"
PERCENT: Final = "0.0%"
MONEY: Final = "#,##0"
PRICE: Final = "#,##0.00"
PRICE_OR_BLANK: Final = '#,##0.00;-#,##0.00;""'
WHOLE_OR_BLANK: Final = '0;-0;""'
PLACE: Final = '0;"–"'
"""The row of something that is looked for, or that it has none."""
DATE: Final = "yyyy-mm-dd"
GENERAL: Final = "General"
TEXT: Final = "@"

_USUAL: Final = {
    "text": TEXT,
    "date": DATE,
    "share": PERCENT,
    **dict.fromkeys(("in", "mm", "lb", "kg", "fpm", "W", "Btu/h", "V", "A", "min", "dB", "ppm"), WHOLE),
    **dict.fromkeys(("cfm", "L/s", "ft²", "m²", "°F", "°C", "K"), ONE),
    **dict.fromkeys(("ft", "m", "m/s", "lb/ft²", "kg/m²", "s"), TWO),
}


def edge(**sides: bool) -> Border:
    """The border of a cell at the edge of a box, on those of its sides, top, bottom, left and right, that are the box's."""
    return Border(**{side: _thin for side, there in sides.items() if there})


def usual_format(unit: str, *, whole: bool = False) -> str:
    """How a value in this unit is shown where nothing else is asked."""
    return WHOLE if whole else _USUAL.get(unit, GENERAL)

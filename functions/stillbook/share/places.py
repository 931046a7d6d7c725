"""Where cells and drawn things lie on a sheet, in drawing units from its corner."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from stillbook.share.shown import Shown
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.markup import whole
from stillbook.workbook.file.parts import SHEET_DRAWING, Element

D: Final = f"{{{SHEET_DRAWING}}}"
NEAR: Final = 100_000
"""How far from an edge something may begin, or end, that counts as beginning or ending there."""

PER_LETTER: Final = 70_000
"""Drawing units to a letter of a column's width."""

PER_POINT: Final = 12_700
_PLACES: Final = ("col", "colOff", "row", "rowOff")


class Box(NamedTuple):
    """The edges of something."""

    left: int
    top: int
    right: int
    bottom: int

    def covers(self, other: Box) -> bool:
        """Whether nothing of another is seen beside it."""
        return (
            self.left <= other.left + NEAR
            and self.top <= other.top + NEAR
            and self.right >= other.right - NEAR
            and self.bottom >= other.bottom - NEAR
        )

    def share_of(self, other: Box) -> float:
        """The share of another that lies under it."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        area = (other.right - other.left) * (other.bottom - other.top)
        return wide * high / area if wide > 0 and high > 0 and area > 0 else 0.0


def box_of(view: Shown, area: Area) -> Box:
    """The edges of a block of cells."""
    return Box(
        _start(area.first_column - 1, view.widths, view.usual_width, PER_LETTER),
        _start(area.first_row - 1, view.heights, view.usual_height, PER_POINT),
        _start(area.last_column, view.widths, view.usual_width, PER_LETTER),
        _start(area.last_row, view.heights, view.usual_height, PER_POINT),
    )


def box_drawn(view: Shown, anchor: Element) -> Box:
    """The edges of what is drawn at a place."""
    start, end, size = (anchor.find(f"{D}{kind}") for kind in ("from", "to", "ext"))
    if start is None:
        at = anchor.find(f"{D}pos")
        left, top = (whole(at.get("x")), whole(at.get("y"))) if at is not None else (0, 0)
    else:
        left, top = _corner(view, start)
    if end is not None:
        return Box(left, top, *_corner(view, end))
    wide, high = (whole(size.get("cx")), whole(size.get("cy"))) if size is not None else (0, 0)
    return Box(left, top, left + wide, top + high)


def corner_of(corner: Element) -> tuple[int, int, int, int]:
    """Column, offset in it, row and offset of a corner, counted from 0; -1 without one."""
    if corner is None:
        return -1, 0, -1, 0
    return tuple(whole(corner.findtext(f"{D}{name}"), 0) for name in _PLACES)  # type: ignore[return-value]


def _corner(view: Shown, corner: Element) -> tuple[int, int]:
    column, across, row, down = corner_of(corner)
    return (
        _start(column, view.widths, view.usual_width, PER_LETTER) + across,
        _start(row, view.heights, view.usual_height, PER_POINT) + down,
    )


def _start(before: int, sizes: Mapping[int, float], usual: float, unit: int) -> int:
    """Where a row or column begins that has so many before it."""
    own = sum(size - usual for number, size in sizes.items() if number <= before)
    return int((before * usual + own) * unit)

"""The drawings of a workbook: lines and their points, as its sheet of points holds them, in the sizes that are built.

A drawing has three named cells, ``<name>_scale``, ``<name>_left`` and ``<name>_bottom``, in millimetres on paper, and a
named block ``<name>_lines`` of six columns: what a line shows, words beside it, across, up, whose work it is, and on
which side of the point in that row the words stand: ``ctr``, ``t``, ``b``, ``l`` or ``r``. A line begins in a row that
says what it shows, and goes on to the next. A block of a version before has no sides.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.lines import column, number

LINES: Final = "_lines"
"""What the name of the block of points ends in."""

_PLACE: Final = ("_scale", "_left", "_bottom")


@dataclass(frozen=True, slots=True)
class Polyline:
    """One line of a drawing.

    Args:
        what: What it shows.
        work: Whose work that is.
        points: Across and up, in the unit of the room's sides.
        words: What is written beside it; empty for nothing.
        at: The number of the point beside which that is written.
        side: On which side of the point: ``ctr``, ``t``, ``b``, ``l`` or ``r``.
    """

    what: str
    work: str
    points: tuple[tuple[float, float], ...]
    words: str = ""
    at: int = 0
    side: str = "ctr"

    @property
    def seen(self) -> bool:
        """Whether there is anything to see of it: it has not shrunk to a point, or it is words."""
        return bool(self.words) or len(set(self.points)) > 1


@dataclass(frozen=True, slots=True)
class View:
    """One drawing by its name, such as a plan."""

    name: str
    lines: tuple[Polyline, ...]


def views(package: Package) -> tuple[View, ...]:
    """The drawings of a calculated workbook; none where it has none, or where a size is still missing."""
    found = []
    for name in (entry.name for entry in package.names if entry.name.endswith(LINES) and not entry.sheet):
        stem, block = name.removesuffix(LINES), column(package, name)
        place = [_number(package, f"{stem}{part}") for part in _PLACE]
        if block is not None and None not in place:
            found.append(View(stem, _lines(package, *block, *(value for value in place if value is not None))))
    return tuple(found)


def _number(package: Package, name: str) -> float | None:
    """The number in a named cell."""
    cell = column(package, name)
    return number(package.value(cell[0], cell[1].first_row, cell[1].first_column)) if cell else None


def _lines(package: Package, sheet: str, block: Area, scale: float, left: float, bottom: float) -> tuple[Polyline, ...]:
    lines: list[Polyline] = []
    for what, words, across, up, work, *sides in package.rows(sheet, block):
        if what not in (None, ""):
            lines.append(Polyline(str(what), str(work or ""), ()))
        if not lines:
            continue
        line = lines[-1]
        if text := str(words or "").strip():
            line = replace(line, words=text, at=len(line.points), side=str(sides[0] or "ctr") if sides else "ctr")
        if isinstance(across, float) and isinstance(up, float):
            point = (round((across - left) / scale, 9), round((up - bottom) / scale, 9))
            line = replace(line, points=(*line.points, point))
        lines[-1] = line
    return tuple(line for line in lines if line.points)

"""Transmission loss by band as a graph drawn by formulas: its axis begins at 30 dB, or lower where the losses do.

The shortfall under the contour of the rating is hatched, and the range of a prediction drawn as two thin lines. The
programs' own line charts can do neither with an axis that follows the inputs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Page
from stillbook.templates.parts.drawing import Drawing, Pen

_LOWEST: Final = 30
"""Where the axis begins while no loss lies lower [dB]."""
_STEP: Final = 10
_MOST_STEPS: Final = 11
_STROKES: Final = 4
"""Strokes of the hatch from one band to the next."""

_PENS: Final = (Pen("loss", look.ACCENT, 2.25), Pen("loss", look.INK, 1.5, "dash"), Pen("loss", look.CAUTION_EDGE, 1.5, "sysDot"), Pen("loss", look.INK, 0.75))
_CONTOUR: Final = Pen("loss", "9C7A2E", 1.75, "lgDash")
_RANGE: Final = Pen("loss", look.ACCENT, 0.5)
_SHORT: Final = Pen("loss", look.CAUTION_EDGE, 0.5)
_GRID: Final = Pen("grid", "8A939B", 0.25)
_AXIS: Final = Pen("grid", look.INK, 0.75)
_KEY, _KEY_ROW = 33.0, 6.0
"""What an entry of the key takes across, and a row of them, in millimetres."""
_BAND: Final = 10.0
"""What the frequency of a band takes across, in millimetres: where there is less, every second one is told."""
_BELOW, _SIDE, _ABOVE = 11.0, 9.0, 14.0
"""Paper left for the words under, beside and over the graph, in millimetres."""


@dataclass(frozen=True)
class Graph:
    """Rows of losses on a page, and how they are drawn.

    Args:
        name: What the names of its cells begin with.
        told: What it shows, in words.
        head: The row of the frequencies.
        bands: First and last column of the bands.
        lines: Rows, each with what the key calls it; the first is the one that is rated.
        contour: The row of the contour of its rating; 0 for none.
        reach: The name of the range of the first row either way, in dB; empty for none.
        size: Width and height, in centimetres.
    """

    name: str
    told: str
    head: int
    bands: tuple[int, int]
    lines: Sequence[tuple[int, str]]
    contour: int = 0
    reach: str = ""
    size: tuple[float, float] = (26.4, 8.0)

    def write(self, page: Page, row: int) -> None:
        """Write its points at the page's next free row, below what is printed, and show it at another row."""
        page.put(page.at, FIRST, f"Points of the graph: {self.name}", font=look.QUIET).alignment = look.UNWRAPPED
        page.at += 1
        width, height = (side * 10 for side in self.size)
        across, up = width - 22, height - 22
        drawing = Drawing(page, self.name, self.size, (f"{across:g}", f"{up:g}"), self.told)
        self._ends(page)
        plot = _Plot(self, across - _SIDE, up - _BELOW + 11 - _ABOVE + 11)
        plot.axes(drawing, page)
        if self.contour:
            plot.shortfall(drawing)
            drawing.line("STC contour", _CONTOUR, plot.curve(self.contour))
        if self.reach:
            for what, sign in (("Range, low", "-"), ("Range, high", "+")):
                drawing.line(what, _RANGE, plot.curve(self.lines[0][0], f"{sign}{self.reach}"))
        for (number, label), pen in zip(self.lines, _PENS, strict=False):
            drawing.line(label, pen, plot.curve(number))
        plot.key(drawing)
        drawing.show(page, row)

    def _ends(self, page: Page) -> None:
        """Write where the axis begins and ends."""
        first, last = map(get_column_letter, self.bands)
        rows = [number for number, _ in self.lines] + ([self.contour] if self.contour else [])
        areas = ",".join(f"{first}{number}:{last}{number}" for number in rows)
        reach = self.reach or "0"
        for label, name, formula in (
            ("Axis from, dB", "floor", f"=MAX(0,MIN({_LOWEST},INT((MIN({areas})-{reach})/{_STEP})*{_STEP}))"),
            ("Axis to, dB", "top", f"=(INT((MAX({areas})+{reach})/{_STEP})+1)*{_STEP}"),
        ):
            page.put(page.at, FIRST, label, font=look.SMALL)
            page.put(page.at, FIRST + 2, formula, font=look.SMALL, number_format=look.WHOLE)
            page.name(f"{self.name}_{name}", page.at, FIRST + 2)
            page.at += 1


class _Plot:
    """Where a band and a loss lie on paper, in millimetres from its corner."""

    def __init__(self, graph: Graph, width: float, height: float) -> None:
        self.graph, self.width = graph, width
        self.height = height - _KEY_ROW * (self.key_rows() - 1)
        self.columns = [get_column_letter(column) for column in range(graph.bands[0], graph.bands[1] + 1)]
        self.base = _BELOW - 11

    def x(self, place: float) -> str:
        return f"{_SIDE + (place + 0.5) * self.width / len(self.columns):.2f}"

    def y(self, loss: str) -> str:
        name = self.graph.name
        return f"{self.base:g}+{self.height:g}*(({loss})-{name}_floor)/({name}_top-{name}_floor)"

    def _held(self, row: int, page: Page | None = None) -> list[int]:
        """Places of the bands of a row: those of the contour are the last sixteen."""
        return list(range(len(self.columns)))[-16:] if row == self.graph.contour else list(range(len(self.columns)))

    def curve(self, row: int, more: str = "") -> list[tuple[str, str]]:
        return [(self.x(place), self.y(f"{self.columns[place]}{row}{more}")) for place in self._held(row)]

    def axes(self, drawing: Drawing, page: Page) -> None:
        name = self.graph.name
        left, right = f"{_SIDE:g}", f"{_SIDE + self.width:g}"
        for step in range(_MOST_STEPS):
            at = f"{name}_floor+{step * _STEP}"
            shown = f"({at}<={name}_top)"
            height = f"{self.base:g}+{self.height:g}*{shown}*({at}-{name}_floor)/({name}_top-{name}_floor)"
            label = f'IF({at}<={name}_top,TEXT({at},"0")," ")'
            drawing.line(f"{step * _STEP} dB over the foot", _AXIS if step == 0 else _GRID, [(left, height), (right, height)], label=label, at=0, side="l")
        for place, column in list(enumerate(self.columns))[:: 1 if self.width / len(self.columns) >= _BAND else 2]:
            drawing.word(f"Band {place + 1}", (self.x(place), f"{self.base:g}"), f'TEXT({column}{self.graph.head},"0")', "b")
        drawing.word("Title of bands", (f"{_SIDE + self.width / 2:g}", f"{self.base - 4.5:g}"), '"third octaves, Hz"', "b")
        drawing.word("Title of losses", (left, f"{self.base + self.height + 2:g}"), '"dB"', "t")

    def shortfall(self, drawing: Drawing) -> None:
        """Strokes from the first row up to the contour wherever it lies under it, in one line to and fro."""
        held, row, contour = self._held(self.graph.contour), self.graph.lines[0][0], self.graph.contour
        points: list[tuple[str, str]] = []
        for place in held[:-1]:
            here, there = self.columns[place], self.columns[place + 1]
            for stroke in range(_STROKES):
                share = stroke / _STROKES
                loss, line = (f"({here}{r}+({there}{r}-{here}{r})*{share:g})" for r in (row, contour))
                ends = [(self.x(place + share), self.y(f"MIN({loss},{line})")), (self.x(place + share), self.y(line))]
                points += ends if (place * _STROKES + stroke) % 2 else ends[::-1]
        drawing.line("Short of the contour", _SHORT, points)

    def _keys(self) -> list[tuple[str, Pen]]:
        entries = [(label, pen) for (_, label), pen in zip(self.graph.lines, _PENS, strict=False)]
        if self.graph.contour:
            entries += [("STC contour", _CONTOUR), ("short of the contour", _SHORT)]
        if self.graph.reach:
            entries.append((f"range of: {self.graph.lines[0][1]}", _RANGE))
        return entries

    def key_rows(self) -> int:
        """Rows that the key takes, so that its words have room."""
        return math.ceil(len(self._keys()) / (self.width // _KEY))

    def key(self, drawing: Drawing) -> None:
        """What each line is, over the graph."""
        entries, rows = self._keys(), self.key_rows()
        of_row = math.ceil(len(entries) / rows)
        each = self.width / of_row
        for number, (label, pen) in enumerate(entries):
            left = _SIDE + 6 + number % of_row * each
            height = self.base + self.height + 8 + _KEY_ROW * (rows - 1 - number // of_row)
            points = [(f"{left + step * 2:g}", f"{height + (1 if step % 2 else -1):g}") for step in range(5)] if pen is _SHORT else []
            drawing.line(
                f"Key: {label}",
                pen,
                points or [(f"{left:g}", f"{height:g}"), (f"{left + 8:g}", f"{height:g}")],
                label=f'"{label}"',
                at=4 if points else 1,
                side="r",
            )

"""What a chart remembers of the cells it draws: programs that do not calculate draw that, and nothing without it.

Only what is remembered is written anew, and only where a cell has become another; every other byte of a chart stays.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from stillbook.cells import Cell, ErrorValue
from stillbook.workbook.file.markup import escaped, local, parse, parser, tag_end, unescaped
from stillbook.workbook.file.sheet import number_text

CHART: Final = "application/vnd.openxmlformats-officedocument.drawingml.chart+xml"
"""The content type of a chart."""

_CACHES: Final = {"numRef": "numCache", "strRef": "strCache"}
_GENERAL: Final = "General"


@dataclass(slots=True)
class _Reference:
    """A reference to cells in a chart, with what is remembered of them."""

    name: str
    cells: str = ""
    code: str | None = None
    points: dict[int, str] = field(default_factory=dict)
    count: int = 0
    start: int = 0
    """Where what is remembered begins, or is to be put."""
    end: int = 0

    @property
    def is_numeric(self) -> bool:
        return local(self.name) == "numRef"


def with_caches(data: bytes, part: str, look_up: Callable[[str], Sequence[Cell] | None]) -> bytes:
    """A chart that remembers the values of its cells as they are now.

    Args:
        data: The chart's part.
        part: Its name, for messages.
        look_up: Gives the values of the cells that a reference names, in order; None leaves it as it is.

    Raises:
        WorkbookError: If the part is not well formed.
    """
    out: list[bytes] = []
    copied = 0
    for reference in _references(data, part):
        values = look_up(reference.cells)
        if values is None:
            continue
        texts = (point_text(value, numeric=reference.is_numeric) for value in values)
        points = {place: text for place, text in enumerate(texts) if text is not None}
        if reference.end > reference.start and reference.count == len(values) and _alike(reference, points):
            continue
        out += (data[copied : reference.start], _written(reference, points, len(values)).encode())
        copied = reference.end
    return b"".join((*out, data[copied:]))


@lru_cache(maxsize=128)
def _references(data: bytes, part: str) -> tuple[_Reference, ...]:
    """The references of a chart; those of one that stayed the same are known from the calculation before."""
    return tuple(_Reading(data, part).found)


def point_text(value: Cell, *, numeric: bool) -> str | None:
    """What a chart remembers of a cell; None for nothing.

    >>> point_text(0.5, numeric=True), point_text("Fan", numeric=True), point_text(125.0, numeric=False)
    ('0.5', None, '125')
    """
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if numeric:
        return number_text(float(value)) if is_number else None  # type: ignore[arg-type]
    if value in (None, ""):
        return None
    if isinstance(value, bool):
        return str(value).upper()
    return f"{value:.10g}" if is_number else str(value.code if isinstance(value, ErrorValue) else value)


def _alike(reference: _Reference, points: dict[int, str]) -> bool:
    """Whether the values remembered are these, however their digits are written."""
    if reference.points.keys() != points.keys():
        return False
    if not reference.is_numeric:
        return reference.points == points
    try:
        return all(float(reference.points[place]) == float(text) for place, text in points.items())
    except ValueError:
        return False


def _written(reference: _Reference, points: dict[int, str], count: int) -> str:
    kind = local(reference.name)
    p = reference.name.removesuffix(kind)
    cache = p + _CACHES[kind]
    code = f"<{p}formatCode>{escaped(reference.code or _GENERAL)}</{p}formatCode>" if reference.is_numeric else ""
    kept = "".join(f'<{p}pt idx="{place}"><{p}v>{escaped(text)}</{p}v></{p}pt>' for place, text in points.items())
    return f'<{cache}>{code}<{p}ptCount val="{count}"/>{kept}</{cache}>'


class _Reading:
    """The state of reading a chart's references."""

    def __init__(self, data: bytes, part: str) -> None:
        self.found: list[_Reference] = []
        self._data = data
        self._reference: _Reference | None = None
        self._in_cache = False
        self._place = 0
        self._text: list[str] = []
        self._reader = parser()
        self._reader.StartElementHandler = self._start
        self._reader.EndElementHandler = self._end
        self._reader.CharacterDataHandler = self._text.append
        parse(self._reader, data, part)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        kind = local(name)
        self._text.clear()
        if kind in _CACHES:
            self._reference = _Reference(name)
        elif self._reference is None:
            return
        elif kind == _CACHES[local(self._reference.name)]:
            self._in_cache = True
            self._reference.start = self._reader.CurrentByteIndex
        elif kind == "ptCount" and self._in_cache:
            self._reference.count = int(attributes.get("val", "0")) if attributes.get("val", "0").isdigit() else 0
        elif kind == "pt" and self._in_cache:
            self._place = int(attributes.get("idx", "0")) if attributes.get("idx", "0").isdigit() else -1

    def _end(self, name: str) -> None:
        if self._reference is None:
            return
        kind, text = local(name), "".join(self._text)
        if kind in _CACHES:
            if self._reference.cells:
                self.found.append(self._reference)
            self._reference = None
        elif kind == _CACHES[local(self._reference.name)]:
            self._in_cache = False
            self._reference.end = self._after(self._reference.start)
        elif kind == "f" and not self._in_cache:
            self._reference.cells = text.strip()
            self._reference.start = self._reference.end = self._after(-1)
        elif kind == "formatCode" and self._in_cache:
            self._reference.code = unescaped(text)
        elif kind == "v" and self._in_cache:
            self._reference.points[self._place] = unescaped(text)

    def _after(self, start: int) -> int:
        """The position after the element that ends here; one that began at ``start`` may be empty."""
        if start >= 0:
            first = tag_end(self._data, start)
            if self._data[first - 2 : first] == b"/>":
                return first
        return self._data.index(b">", self._reader.CurrentByteIndex) + 1

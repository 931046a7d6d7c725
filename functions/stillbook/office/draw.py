"""The drawings of a job as files that others work with: DXF for drawing programs, SVG for pages.

>>> from stillbook.office.draw import draw
>>> draw("job.xlsx", "job.dxf")        # doctest: +SKIP
"""

from __future__ import annotations

import io
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Final

from stillbook.workbook import WorkbookError
from stillbook.workbook.file.saving import refuse_existing, save
from stillbook.workbook.job.draft import mark
from stillbook.workbook.job.drawn import View, views
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import unit_system

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

SUFFIXES: Final = (".dxf", ".svg")

_LAYERS: Final = {
    "shell": (7, "CONTINUOUS", 50),
    "wool": (33, "CONTINUOUS", 13),
    "framing": (30, "CONTINUOUS", 25),
    "windows": (5, "CONTINUOUS", 35),
    "doors": (1, "CONTINUOUS", 35),
    "air": (4, "CONTINUOUS", 35),
    "panels": (5, "CONTINUOUS", 35),
    "space": (8, "DASHED", 25),
    "dimensions": (8, "CONTINUOUS", 13),
    "words": (7, "CONTINUOUS", 13),
}
"""Colour by its number in DXF, line type, and line width in hundredths of a millimetre, by whose work it is."""

_SMALL: Final = {"US": (12.0, 1), "SI": (1000.0, 4)}
"""Of each unit system: small units in a large one, and the number of the small unit in DXF: inches, millimetres."""

_BESIDE: Final = {
    "ctr": (0.0, 0.0, "MIDDLE_CENTER"),
    "t": (0.0, 0.5, "BOTTOM_CENTER"),
    "b": (0.0, -0.5, "TOP_CENTER"),
    "l": (-0.5, 0.0, "MIDDLE_RIGHT"),
    "r": (0.5, 0.0, "MIDDLE_LEFT"),
}
"""Where words stand beside their point: across and up in heights of a letter, and what of them stands there."""

_LETTERS: Final = 24
"""Heights of a letter in the height of a drawing, at least: a detail has smaller letters than a plan."""

_APART: Final = 0.25
"""Space between two drawings, as a share of the first one's width."""


def draw(job: str | PathLike[str], to: str | PathLike[str], *, replace: bool = False) -> tuple[View, ...]:
    """Calculate a job and write its drawings to a file, full size, a layer for each trade; the job is not changed.

    While a check of the job fails or is an error, the drawing says over its first view that it is a draft.

    Args:
        job: The workbook.
        to: The file, which ends in ``.dxf`` or ``.svg``.
        replace: Whether a file that stands there may be replaced.

    Raises:
        WorkbookError: If the workbook cannot be opened or calculated, has no drawing, a size of it is missing, or the
            file cannot be written.
    """
    path = Path(to)
    if path.suffix.lower() not in SUFFIXES:
        raise WorkbookError(f"{path}: give a file name that ends in {' or '.join(SUFFIXES)}")
    if not replace:
        refuse_existing(path)
    source = Job.open(job)
    report = source.calculate()
    drawn = views(source.package)
    if not drawn:
        raise WorkbookError(f"{job}: this workbook has no drawing, or a size that it needs is not filled in")
    document = _document(drawn, unit_system(source.package), mark(report))
    save(path, _svg(document) if path.suffix.lower() == ".svg" else _dxf(document))
    return drawn


def _document(drawn: tuple[View, ...], system: str, mark: str) -> Document:
    """The drawings side by side, full size in small units, dimensions as dimensions, under a mark if there is one."""
    from ezdxf import units
    from ezdxf.enums import TextEntityAlignment
    from ezdxf.filemanagement import new

    small, number = _SMALL[system]
    document = new("R2010", setup=True)
    document.units = number
    document.header["$MEASUREMENT"] = 0 if number == units.IN else 1
    for name, (colour, line_type, width) in _LAYERS.items():
        document.layers.add(name.upper(), color=colour, linetype=line_type, lineweight=width)
    space = document.modelspace()
    letters = 0.12 * small * (1 if system == "US" else 0.3048)
    style = document.dimstyles.duplicate_entry("EZDXF", "ROOM")
    style.dxf.dimtxt, style.dxf.dimasz, style.dxf.dimexe, style.dxf.dimexo = letters * 2, letters, letters, letters
    style.dxf.dimlfac, style.dxf.dimpost = 1.0, ""
    start = 0.0
    for view in drawn:
        shown = [line for line in view.lines if line.seen]
        edges = [x for line in shown for x, _ in line.points]
        heights = [y for line in shown for _, y in line.points]
        tall = (max(heights) - min(heights)) * small / _LETTERS
        named = "ROOM" if tall >= letters * 2 else _smaller(document, view.name, tall)
        for line in shown:
            points = [((x - min(edges)) * small + start, y * small) for x, y in line.points]
            layer = {"layer": line.work.upper() if line.work in _LAYERS else "SHELL"}
            if line.work == "dimensions":
                space.add_aligned_dim(
                    p1=points[0], p2=points[-1], distance=0, text=line.words or "<>", dimstyle=named, dxfattribs=layer
                ).render()
            elif len(set(points)) > 1:
                space.add_lwpolyline(points, dxfattribs=layer)
            if line.words and line.work != "dimensions":
                across, up, align = _BESIDE.get(line.side, _BESIDE["ctr"])
                x, y = points[min(line.at, len(points) - 1)]
                height = min(letters * 2, tall)
                text = space.add_text(line.words, height=height, dxfattribs={"layer": "WORDS"})
                text.set_placement((x + across * height, y + up * height), align=TextEntityAlignment[align])
        if mark and not start:
            top = max(heights) * small + letters * 8
            space.add_text(mark, height=letters * 4, dxfattribs={"layer": "WORDS"}).set_placement((0, top))
        start += (max(edges) - min(edges)) * small * (1 + _APART)
    return document


def _smaller(document: Document, view: str, tall: float) -> str:
    """A style of dimensions with letters of that height, for a drawing that is small; gives its name."""
    name = f"DETAIL-{view.upper()}"
    style = document.dimstyles.duplicate_entry("ROOM", name)
    style.dxf.dimtxt, style.dxf.dimasz, style.dxf.dimexe, style.dxf.dimexo = tall, tall / 2, tall / 2, tall / 2
    return name


def _dxf(document: Document) -> bytes:
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8")


def _svg(document: Document) -> bytes:
    from ezdxf.addons.drawing import layout
    from ezdxf.addons.drawing.config import BackgroundPolicy, ColorPolicy, Configuration
    from ezdxf.addons.drawing.frontend import Frontend
    from ezdxf.addons.drawing.properties import RenderContext
    from ezdxf.addons.drawing.svg import SVGBackend

    backend = SVGBackend()
    look = Configuration(background_policy=BackgroundPolicy.WHITE, color_policy=ColorPolicy.COLOR)
    Frontend(RenderContext(document), backend, config=look).draw_layout(document.modelspace())
    page = layout.Page(0, 0, layout.Units.mm, margins=layout.Margins.all(10), max_width=400, max_height=280)
    return backend.get_string(page).encode("utf-8")

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
from stillbook.workbook.job.drawn import View, views
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import unit_system

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

SUFFIXES: Final = (".dxf", ".svg")

_LAYERS: Final = {
    "shell": (7, "CONTINUOUS", 50),
    "wool": (33, "CONTINUOUS", 13),
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

_LETTERS: Final = 40
"""A drawing is at least so many times as wide as its letters are high."""

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
    denied = len(source.calculate().denied)
    drawn = views(source.package)
    if not drawn:
        raise WorkbookError(f"{job}: this workbook has no drawing, or a size that it needs is not filled in")
    mark = f"DRAFT: {denied} {'check fails' if denied == 1 else 'checks fail'}" if denied else ""
    document = _document(drawn, unit_system(source.package), mark)
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
        high = min(letters * 2, (max(edges) - min(edges)) * small / _LETTERS)
        for line in shown:
            points = [((x - min(edges)) * small + start, y * small) for x, y in line.points]
            layer = {"layer": line.work.upper() if line.work in _LAYERS else "SHELL"}
            if line.work == "dimensions":
                space.add_aligned_dim(
                    p1=points[0],
                    p2=points[-1],
                    distance=0,
                    text=line.words or "<>",
                    dimstyle="ROOM",
                    dxfattribs=layer,
                    override={"dimtxt": high, "dimasz": high / 2, "dimexe": high / 2, "dimexo": high / 2},
                ).render()
            elif len(set(points)) > 1:
                space.add_lwpolyline(points, dxfattribs=layer)
            if line.words and line.work != "dimensions":
                text = space.add_text(line.words, height=high, dxfattribs=layer)
                text.set_placement(points[0], align=TextEntityAlignment.MIDDLE_CENTER)
        if mark and not start:
            top = max(y for line in shown for _, y in line.points) * small + letters * 8
            space.add_text(mark, height=letters * 4, dxfattribs={"layer": "WORDS"}).set_placement((0, top))
        start += (max(edges) - min(edges)) * small * (1 + _APART)
    return document


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

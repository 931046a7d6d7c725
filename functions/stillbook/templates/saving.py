"""A built workbook as bytes that keep the file format's rules, and tell charts in words, where openpyxl does not."""

from __future__ import annotations

import io
import re
import zipfile
from typing import TYPE_CHECKING, Final

from lxml import etree

if TYPE_CHECKING:
    from openpyxl import Workbook

_STYLES: Final = "xl/styles.xml"
_FONT: Final = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}font"
_FONT_PARTS: Final = "b i strike condense extend outline shadow u vertAlign sz color name family charset scheme"
"""The elements of a font in the order of the schema (ECMA-376-1, CT_Font, from memory); openpyxl 3.1 has its own."""

_ORDER: Final = {part: place for place, part in enumerate(_FONT_PARTS.split())}


_CHARTS: Final = "xl/charts/"
_TURNED: Final = re.compile(rb'(<a:bodyPr\b[^>]*\brot="0")( ?/>)')
"""The words of a label as openpyxl writes them, which takes a wrap of none for no wrap at all."""

_PROPERTIES: Final = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}cNvPr"


def saved(workbook: Workbook) -> bytes:
    """The bytes of a workbook that openpyxl built, each font's elements in the order of the schema, and each chart told in words.

    Raises:
        ValueError: If a chart has no words (:func:`stillbook.templates.charts.tell`).
    """
    told = _told(workbook)
    raw, out = io.BytesIO(), io.BytesIO()
    workbook.save(raw)
    with zipfile.ZipFile(raw) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            data = source.read(name)
            if name == _STYLES:
                data = _ordered(data)
            elif name in told:
                data = _with_words(data, told[name])
            elif name.startswith(_CHARTS):
                data = _TURNED.sub(rb'\1 wrap="none"\2', data)
            target.writestr(name, data)
    return out.getvalue()


def _ordered(styles: bytes) -> bytes:
    root = etree.fromstring(styles)
    for font in root.iter(_FONT):
        font[:] = sorted(font, key=lambda child: _ORDER[etree.QName(child).localname])
    return bytes(etree.tostring(root))


def _told(workbook: Workbook) -> dict[str, list[tuple[str, str]]]:
    """Name and words of each chart, by the part in which openpyxl writes the drawings of its sheet."""
    found: dict[str, list[tuple[str, str]]] = {}
    for sheet in workbook.worksheets:
        if sheet._charts or sheet._images:
            words = [getattr(chart, "told", None) for chart in sheet._charts]
            if None in words:
                raise ValueError(f"{sheet.title}: a chart is not told in words")
            found[f"xl/drawings/drawing{len(found) + 1}.xml"] = [each for each in words if each is not None]
    return found


def _with_words(drawing: bytes, told: list[tuple[str, str]]) -> bytes:
    """A part of drawings with name, title and words at its charts, which stand first in it."""
    root = etree.fromstring(drawing)
    for properties, (name, text) in zip(root.iter(_PROPERTIES), told, strict=False):
        properties.set("name", name)
        properties.set("descr", text)
        properties.set("title", name)
    return bytes(etree.tostring(root))

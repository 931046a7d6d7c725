"""A built workbook as bytes that keep the file format's rules where openpyxl does not."""

from __future__ import annotations

import io
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


def saved(workbook: Workbook) -> bytes:
    """The bytes of a workbook that openpyxl built, each font's elements in the order of the schema."""
    raw, out = io.BytesIO(), io.BytesIO()
    workbook.save(raw)
    with zipfile.ZipFile(raw) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            data = source.read(name)
            target.writestr(name, _ordered(data) if name == _STYLES else data)
    return out.getvalue()


def _ordered(styles: bytes) -> bytes:
    root = etree.fromstring(styles)
    for font in root.iter(_FONT):
        font[:] = sorted(font, key=lambda child: _ORDER[etree.QName(child).localname])
    return bytes(etree.tostring(root))

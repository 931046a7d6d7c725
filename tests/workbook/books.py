"""Workbooks for tests: small ones from a mapping of cells, and one that carries all that must survive a change."""

from __future__ import annotations

import html
import io
import re
import struct
import zipfile
import zlib
from collections.abc import Callable, Mapping
from typing import Any

from openpyxl import Workbook
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import ColorScaleRule, FormulaRule
from openpyxl.styles import Font, PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula

from stillbook.workbook.file.package import Package

SHEET1 = "xl/worksheets/sheet1.xml"


def array(area: str, formula: str) -> ArrayFormula:
    """An array formula over a block of cells."""
    return ArrayFormula(area, formula)


Sheets = Mapping[str, Mapping[str, Any]]
Names = Mapping[str, tuple[str, str] | str]


def book(sheets: Sheets, names: Names | None = None) -> bytes:
    """A workbook with these cells by sheet and address, and names with a reference or with reference and note."""
    return saved(built(sheets, names))


def built(sheets: Sheets, names: Names | None = None) -> Workbook:
    """The same, still open for changes by openpyxl."""
    made = Workbook()
    made.remove(made.active)
    for title, cells in sheets.items():
        sheet = made.create_sheet(title)
        for address, value in cells.items():
            sheet[address] = value
    for name, given in (names or {}).items():
        refers_to, comment = (given, None) if isinstance(given, str) else given
        made.defined_names[name] = DefinedName(name, attr_text=refers_to, comment=comment)
    return made


def saved(made: Workbook) -> bytes:
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def package(cells: Mapping[str, Any], names: Mapping[str, Any] | None = None) -> Package:
    """A package with one sheet, ``S``."""
    return Package(book({"S": cells}, names))


def parts(data: bytes) -> dict[str, bytes]:
    """Every part's contents, in file order."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def with_parts(data: bytes, changed: Mapping[str, bytes | str]) -> bytes:
    """The same file with some parts replaced or added, written anew."""
    contents: dict[str, bytes] = {**parts(data)}
    for name, new in changed.items():
        contents[name] = new.encode() if isinstance(new, str) else new
    return zipped(contents)


def edited(data: bytes, part: str, change: Callable[[str], str]) -> bytes:
    """The same file with the text of one part changed."""
    before = parts(data)[part].decode()
    after = change(before)
    assert after != before, f"nothing to change in {part}"
    return with_parts(data, {part: after})


def sheet_xml(data: bytes, rows: str, *, after: str = "", part: str = SHEET1) -> bytes:
    """The same file with the rows of a sheet given as XML."""

    def change(text: str) -> str:
        start = text.index("<sheetData")
        end = text.index("</sheetData>") + 12 if "</sheetData>" in text else text.index("/>", start) + 2
        return f"{text[:start]}<sheetData>{rows}</sheetData>{after}{text[end:]}"

    return edited(data, part, change)


def zipped(contents: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in contents.items():
            archive.writestr(name, data)
    return out.getvalue()


def raw_entries(data: bytes) -> list[tuple[str, bytes, bytes]]:
    """Name, local record and directory record, without its offset, of each entry in directory order."""
    archive = zipfile.ZipFile(io.BytesIO(data))
    ends = sorted([entry.header_offset for entry in archive.infolist()] + [archive.start_dir])
    found = []
    at = archive.start_dir
    for entry in archive.infolist():
        start = entry.header_offset
        record = data[start : ends[ends.index(start) + 1]]
        lengths = struct.unpack_from("<3H", data, at + 28)
        size = 46 + sum(lengths)
        found.append((entry.filename, record, data[at : at + 42] + data[at + 46 : at + size]))
        at += size
    return found


# --- the workbook that carries everything -----------------------------------------------------------------------------

_SHAPE = (
    '<xdr:twoCellAnchor xmlns:xdr="http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"'
    ' xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main">'
    "<xdr:from><xdr:col>9</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>20</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:from>"
    "<xdr:to><xdr:col>12</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>24</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:to>"
    '<xdr:sp macro="" textlink=""><xdr:nvSpPr><xdr:cNvPr id="90" name="Note"/><xdr:cNvSpPr/></xdr:nvSpPr>'
    '<xdr:spPr><a:xfrm><a:off x="0" y="0"/><a:ext cx="1800000" cy="700000"/></a:xfrm>'
    '<a:prstGeom prst="roundRect"><a:avLst/></a:prstGeom></xdr:spPr>'
    "<xdr:txBody><a:bodyPr/><a:p><a:r><a:t>A note in a shape</a:t></a:r></a:p></xdr:txBody></xdr:sp>"
    "<xdr:clientData/></xdr:twoCellAnchor>"
)
_PICTURE = (
    '<xdr:oneCellAnchor xmlns:xdr="http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"'
    ' xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main"'
    ' xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">'
    "<xdr:from><xdr:col>9</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>1</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:from>"
    '<xdr:ext cx="95250" cy="95250"/><xdr:pic><xdr:nvPicPr><xdr:cNvPr id="91" name="Logo"/><xdr:cNvPicPr/></xdr:nvPicPr>'
    '<xdr:blipFill><a:blip r:embed="rIdLogo"/><a:stretch><a:fillRect/></a:stretch></xdr:blipFill>'
    '<xdr:spPr><a:xfrm><a:off x="0" y="0"/><a:ext cx="95250" cy="95250"/></a:xfrm>'
    '<a:prstGeom prst="rect"><a:avLst/></a:prstGeom></xdr:spPr></xdr:pic><xdr:clientData/></xdr:oneCellAnchor>'
)
_EXTENDED = (
    '<extLst><ext xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main"'
    ' uri="{78C0D931-6437-407d-A8EE-F0AAD7539E65}"><x14:conditionalFormattings>'
    '<x14:conditionalFormatting xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main">'
    '<x14:cfRule type="dataBar" id="{00000000-0001-0000-0000-000000000001}"><x14:dataBar>'
    '<x14:cfvo type="autoMin"/><x14:cfvo type="autoMax"/></x14:dataBar></x14:cfRule><xm:sqref>B2:B5</xm:sqref>'
    "</x14:conditionalFormatting></x14:conditionalFormattings></ext></extLst>"
)


def png() -> bytes:
    """A picture of one dot."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">2I5B", 1, 1, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0\x20\x60\xa0"))
        + chunk(b"IEND", b"")
    )


RICH_VALUES = {
    "Room": {"B2": 8.0, "B3": 6.0, "B4": 48.0, "B5": 4.4, "B6": "48 ft²", "B7": True},
    "Doors & air": {"B2": 211.2, "B3": 96.0, "C3": 72.0, "B4": 4.4},
}
"""What the formula cells of :func:`rich` show once calculated, and its inputs."""


def rich() -> bytes:
    """A workbook with a picture, a chart, a shape, conditional formats, typing rules, notes, print set-up, a custom
    part, extension lists and odd but allowed zip records; its formulas have no stored results."""
    made = Workbook()
    room = made.active
    room.title = "Room"
    for row, (label, value) in enumerate(
        [
            ("Room <inside> & out", None),
            ("Length", 8),
            ("Width", 6),
            ("Floor", "=B2*B3"),
            ("Leaf", '=STILL_SURFACEMASS("4.4 lb/ft²")'),
            ("Floor in words", '=B4&" ft²"'),
            ("Wide enough", "=B3>=5"),
        ],
        start=1,
    ):
        room.cell(row, 1, label).font = Font(bold=True)
        room.cell(row, 2, value)
    room["B2"].fill = PatternFill("solid", fgColor="FFF2CC")
    room["B2"].comment = Comment("Finished face to finished face", "Estimator")
    room.conditional_formatting.add("B2:B5", ColorScaleRule("min", None, "FFFFFF", "max", None, "63BE7B"))
    room.conditional_formatting.add("B4", FormulaRule(["B4>40"], font=Font(bold=True)))
    rule = DataValidation("decimal", operator="between", formula1="3", formula2="60", showErrorMessage=True)
    rule.add("B2")
    room.add_data_validation(rule)
    room.print_area = "A1:C7"
    room.print_title_rows = "1:1"
    room.page_setup.orientation = "landscape"
    room.oddHeader.center.text = "Room &P of &N"
    room.freeze_panes = "A2"
    room.merge_cells("D1:E1")
    chart = BarChart()
    chart.add_data(Reference(room, min_col=2, min_row=2, max_row=5))
    room.add_chart(chart, "D3")
    doors = made.create_sheet("Doors & air")
    doors["A1"] = "Doors"
    doors["B2"] = "=Room!B4*B4"
    doors["B3"] = array("B3:C3", "=Room!B4*{2,1.5}")
    doors["B4"] = "=leaf_mass"
    doors.column_dimensions["C"].width = 20
    made.create_sheet("Hidden").sheet_state = "hidden"
    made["Hidden"]["A1"] = "kept"
    made.defined_names["leaf_mass"] = DefinedName(
        "leaf_mass", attr_text="Room!$B$5", comment="Leaf | result | unit: lb/ft²"
    )
    made.defined_names["room_length"] = DefinedName(
        "room_length", attr_text="Room!$B$2", comment="Inside length. | unit: ft | from: 3 | to: 60 | default: 8"
    )
    return _as_an_office_program_writes(_with_what_openpyxl_cannot_write(saved(made)))


def _with_what_openpyxl_cannot_write(data: bytes) -> bytes:
    contents = parts(data)

    def change(part: str, old: str, new: str) -> None:
        text = contents[part].decode()
        assert old in text, (part, old)
        contents[part] = text.replace(old, new, 1).encode()

    change("xl/drawings/drawing1.xml", "</wsDr>" if b"</wsDr>" in contents["xl/drawings/drawing1.xml"] else "</xdr:wsDr>",
           _SHAPE + _PICTURE + ("</wsDr>" if b"</wsDr>" in contents["xl/drawings/drawing1.xml"] else "</xdr:wsDr>"))  # fmt: skip
    change(
        "xl/drawings/_rels/drawing1.xml.rels",
        "</Relationships>",
        '<Relationship Id="rIdLogo" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/image"'
        ' Target="/xl/media/logo.png"/></Relationships>',
    )
    contents["xl/media/logo.png"] = png()
    if "png" not in contents["[Content_Types].xml"].decode():
        change("[Content_Types].xml", "<Default", '<Default Extension="png" ContentType="image/png"/><Default')
    change(SHEET1, "</worksheet>", _EXTENDED + "</worksheet>")
    change(
        "xl/_rels/workbook.xml.rels",
        "</Relationships>",
        '<Relationship Id="rIdOwn" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/customXml"'
        ' Target="../customXml/item1.xml"/></Relationships>',
    )
    contents["customXml/item1.xml"] = b"<?xml version='1.0'?>\r\n<job xmlns='urn:example:job'>  <client/>\r\n</job>"
    contents["docProps/odd.bin"] = bytes(range(256)) * 5
    change(
        "[Content_Types].xml", "<Default", '<Default Extension="bin" ContentType="application/octet-stream"/><Default'
    )
    return zipped(contents)


def _as_an_office_program_writes(data: bytes) -> bytes:
    """The same parts in records of many forms: stored and packed, sizes before and after, stamps, extras, comments."""

    class Forward(io.RawIOBase):
        """A stream that cannot go back, so that sizes follow the data."""

        def __init__(self) -> None:
            self.data = bytearray()

        def writable(self) -> bool:
            return True

        def write(self, piece: Any) -> int:
            self.data += bytes(piece)
            return len(bytes(piece))

    out = Forward()
    with zipfile.ZipFile(out, "w") as archive:
        for number, (name, contents) in enumerate(parts(data).items()):
            entry = zipfile.ZipInfo(name, (2019 + number % 5, 1 + number % 12, 3, 4, 5, 6))
            entry.compress_type = zipfile.ZIP_STORED if number % 4 == 3 else zipfile.ZIP_DEFLATED
            entry.external_attr = 0o640 << 16
            if number % 3 == 0:
                entry.comment = b"part %d" % number
            if number % 5 == 1:
                entry.extra = struct.pack("<HHBI", 0x5455, 5, 1, 1_600_000_000)
            archive.writestr(entry, contents)
        archive.comment = b"made for a test"
    return bytes(out.data)


def decoded(data: bytes) -> str:
    """Everything readable in a package, by a reader of our own: each part as it lies there, with its
    entities resolved, with its tags taken out so that split texts join, and in two-byte letters."""
    pieces = []
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        pieces.append(archive.comment.decode("latin-1"))
        for entry in archive.infolist():
            contents = archive.read(entry)
            text = contents.decode("utf-8", "replace")
            pieces += [entry.filename, entry.comment.decode("latin-1"), entry.extra.decode("latin-1"), text]
            pieces += [html.unescape(text), html.unescape(re.sub(r"<[^>]*>", "", text))]
            pieces += [contents[start:].decode("utf-16-le", "replace") for start in (0, 1)]
    return "\n".join(pieces).casefold()

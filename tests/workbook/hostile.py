"""Workbooks that are damaged or meant to do harm: each an estimate that works, with one thing wrong."""

from __future__ import annotations

import html
import io
import re
import struct
import zipfile
from collections.abc import Callable, Mapping
from functools import cache
from typing import Final

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName

from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job
from workbook import books, jobs

RELATIONS: Final = "xl/_rels/workbook.xml.rels"
WORKBOOK: Final = "xl/workbook.xml"
STRINGS: Final = "xl/sharedStrings.xml"
_XML: Final = '<?xml version="1.0" encoding="UTF-8"?>'
_ENTITIES: Final = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
LAUGHS: Final = f'{_XML}<!DOCTYPE worksheet [<!ENTITY l0 "ha">{_ENTITIES}]>'
OUTSIDE: Final = f'{_XML}<!DOCTYPE worksheet [<!ENTITY l9 SYSTEM "file:///etc/passwd">]>'


@cache
def estimate() -> bytes:
    """An estimate that every command takes: it has inputs, prices, lines, checks, pages for both readers, a proposal."""
    return with_proposal(jobs.estimate())


def with_proposal(made: Workbook) -> bytes:
    """An estimate with a page for a client, calculated."""
    page = made.create_sheet("Proposal")
    page["A1"], page["B1"] = "Price", "=price"
    page.defined_names.add(DefinedName("shown_to_client", attr_text="Proposal!$A$1:$B$1"))
    job = Job(Package(books.saved(made)))
    job.set({"client": "Invented client"})
    job.calculate()
    return job.package.to_bytes()


def sheet(change: Callable[[str], str], part: str = books.SHEET1) -> bytes:
    """The estimate with the text of one sheet changed."""
    return books.edited(estimate(), part, change)


def _with_declaration(declaration: str) -> Callable[[str], str]:
    return lambda text: declaration + re.sub(r"^<\?xml[^>]*\?>", "", text).replace("Invented client", "&l9;")


def _without(*names: str) -> bytes:
    return books.zipped({name: data for name, data in books.parts(estimate()).items() if name not in names})


def _named(name: str) -> bytes:
    """The estimate with one part more, under a name that leads out of the folder where it is unpacked."""
    return books.with_parts(estimate(), {name: "out"})


def _doubled() -> bytes:
    out = io.BytesIO(estimate())
    with zipfile.ZipFile(out, "a") as archive:
        archive.NameToInfo.clear()
        archive.writestr(books.SHEET1, books.parts(estimate())[books.SHEET1])
    return out.getvalue()


def _bomb() -> bytes:
    """A part of 40 million blanks, packed into some 40 kB."""
    out = io.BytesIO(estimate())
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive, archive.open("xl/media/a.xml", "w") as part:
        for _ in range(40):
            part.write(b" " * 1_000_000)
    return out.getvalue()


def _lying_bomb() -> bytes:
    """A sheet that says it is small and unpacks to 5 MB."""
    data = books.parts(estimate())[books.SHEET1].decode()
    text = data.replace("</worksheet>", " " * 5_000_000 + "</worksheet>")
    made = bytearray(books.with_parts(estimate(), {books.SHEET1: text}))
    size, lie = struct.pack("<I", len(text.encode())), struct.pack("<I", 2000)
    assert made.count(size) == 2
    return bytes(made).replace(size, lie)


def _overlapping() -> bytes:
    """Two parts in one place of the file."""
    made = bytearray(estimate())
    archive = zipfile.ZipFile(io.BytesIO(bytes(made)))
    first, second = archive.infolist()[:2]
    at = bytes(made).rfind(b"PK\x01\x02", 0, bytes(made).rfind(second.filename.encode()))
    made[at + 42 : at + 46] = struct.pack("<I", first.header_offset)
    return bytes(made)


def _locked() -> bytes:
    """What a spreadsheet program writes when a password is set: another kind of container."""
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 1000 + "EncryptedPackage".encode("utf-16-le") + b"\0" * 1000


def _main(kind: str) -> bytes:
    whole = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    return books.edited(estimate(), "[Content_Types].xml", lambda text: text.replace(whole, kind))


def _as_shared(index: str) -> bytes:
    """The client's name as a shared text of that number; there is one."""
    data = sheet(lambda text: _client(text, f't="s"><v>{index}</v>'))
    data = books.with_parts(
        data,
        {
            STRINGS: f'{_XML}<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>One</t></si></sst>'
        },
    )
    relation = '<Relationship Id="rIdS" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/>'
    return books.edited(data, RELATIONS, lambda text: text.replace("</Relationships>", f"{relation}</Relationships>"))


def _client(text: str, stored: str) -> str:
    return re.sub(r't="(?:str|inlineStr)">(?:<is><t[^>]*>|<v>)Invented client(?:</t></is>|</v>)', stored, text)


REFUSED: Final[Mapping[str, tuple[Callable[[], bytes], str]]] = {
    "empty": (lambda: b"", "it is empty"),
    "words": (lambda: b"Length;Width\n8;6\n", "not an Excel workbook"),
    "cut in half": (lambda: estimate()[: len(estimate()) // 2], "damaged or cut short"),
    "cut at the end": (lambda: estimate()[:-1], "damaged or cut short"),
    "a zip of other things": (lambda: books.zipped({"a.txt": b"x"}), "not a workbook"),
    "locked with a password": (_locked, "password"),
    "the old format": (lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, r"\.xls format"),
    "macros by type": (lambda: _main("application/vnd.ms-excel.sheet.macroEnabled.main+xml"), "macros"),
    "macros by part": (lambda: books.with_parts(estimate(), {"xl/vbaProject.bin": b"x"}), "macros"),
    "binary": (lambda: _main("application/vnd.ms-excel.sheet.binary.macroEnabled.main"), "macros|binary"),
    "another document": (
        lambda: _main("application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml"),
        "not a workbook",
    ),
    "a bomb": (_bomb, "more than is allowed"),
    "a bomb that lies": (_lying_bomb, "damaged"),
    "parts in one place": (_overlapping, "damaged"),
    "a part above the folder": (lambda: _named("../../above.xml"), "unsafe name"),
    "a part above a folder": (lambda: _named("xl/../../above.xml"), "unsafe name"),
    "a part at the root": (lambda: _named("/etc/part.xml"), "unsafe name"),
    "a part on a drive": (lambda: _named("C:/part.xml"), "unsafe name"),
    "a part behind a backslash": (lambda: _named("..\\part.xml"), "unsafe name"),
    "two parts of one name": (_doubled, "two parts have the same name"),
    "two parts but for case": (lambda: _named("xl/Workbook.xml"), "two parts have the same name"),
    "entities in a sheet": (lambda: sheet(_with_declaration(LAUGHS)), "document type"),
    "a file as an entity": (lambda: sheet(_with_declaration(OUTSIDE)), "document type"),
    "entities in the workbook": (
        lambda: books.edited(estimate(), WORKBOOK, _with_declaration(LAUGHS)),
        "document type",
    ),
    "entities in the types": (
        lambda: books.edited(estimate(), "[Content_Types].xml", _with_declaration(LAUGHS)),
        "document type",
    ),
    "entities in the relations": (
        lambda: books.edited(estimate(), RELATIONS, _with_declaration(LAUGHS)),
        "document type",
    ),
    "no types": (lambda: _without("[Content_Types].xml"), "not a workbook"),
    "no relations": (lambda: _without("_rels/.rels"), "not a workbook"),
    "no workbook": (lambda: _without(WORKBOOK), "not a workbook"),
    "no relations of the workbook": (lambda: _without(RELATIONS), "no sheet"),
    "a sheet missing": (lambda: _without(books.SHEET1), "sheet1.xml is missing"),
    "all sheets missing": (
        lambda: _without(*(name for name in books.parts(estimate()) if name.startswith("xl/worksheets/"))),
        "is missing",
    ),
    "a sheet cut": (lambda: sheet(lambda text: text[:-60]), "damaged"),
    "a sheet of nothing": (lambda: books.with_parts(estimate(), {books.SHEET1: b""}), "damaged"),
    "a sheet of noise": (lambda: books.with_parts(estimate(), {books.SHEET1: b"\0\xff" * 100}), "damaged"),
    "a shared text that is not there": (lambda: _as_shared("1"), "a shared text is missing"),
    "a shared text before the first": (lambda: _as_shared("-1"), "a shared text is missing"),
    "a shared text by a strange digit": (lambda: _as_shared("²"), "where a number belongs"),
    "a shared text too far": (lambda: _as_shared("9" * 5000), "where a number belongs"),
    "a row too far": (lambda: sheet(lambda text: _row(text, "9" * 5000)), "damaged"),
    "a row by a strange digit": (lambda: sheet(lambda text: _row(text, "²")), "damaged"),
    "a row past the last": (lambda: sheet(lambda text: _row(text, "2000000")), "damaged"),
    "a name of a strange sheet": (
        lambda: books.edited(
            estimate(), WORKBOOK, lambda text: text.replace("<definedName ", '<definedName localSheetId="²" ', 1)
        ),
        "where a number belongs",
    ),
    "another coding": (
        lambda: books.with_parts(
            estimate(), {books.SHEET1: books.parts(estimate())[books.SHEET1].decode().encode("utf-16")}
        ),
        "not in UTF-8",
    ),
    "a cell of no kind": (lambda: sheet(lambda text: text.replace('t="n"', 't="strange"', 1)), "damaged"),
    "two sheets of one name": (
        lambda: books.edited(estimate(), WORKBOOK, lambda text: text.replace('name="Checks"', 'name="prices"')),
        "two sheets have the same name",
    ),
    "a column past the last": (lambda: sheet(lambda text: text.replace('"A1"', '"ZZZZ1"')), "damaged"),
}
"""What no command may take: how it is made, and what is said of it."""


def _row(text: str, number: str) -> str:
    return text.replace("</sheetData>", f'<row r="{number}"><c r="A{number}"><v>1</v></c></row></sheetData>')


def circle() -> bytes:
    """The estimate with two formulas that need each other."""
    return sheet(lambda text: text.replace("</sheetData>", '<row r="20"><c r="A20"><f>B20+1</f><v>1</v></c><c r="B20"><f>A20+1</f><v>2</v></c></row></sheetData>'))  # fmt: skip


def returned(data: bytes) -> bytes:
    """A workbook without the name of its costs, as a contractor's copy comes back."""
    return books.edited(data, "xl/workbook.xml", lambda text: text.replace('name="line_cost"', 'name="line_sums"'))


def with_formula(formula: str, opening: str = "<f>") -> bytes:
    """The estimate with one formula more."""
    cell = f'<row r="20"><c r="A20">{opening}{html.escape(formula)}</f><v>1</v></c></row></sheetData>'
    return sheet(lambda text: text.replace("</sheetData>", cell))


def noted() -> bytes:
    """The estimate with notes on cells that hold entities."""
    space = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    relations = "http://schemas.openxmlformats.org/package/2006/relationships"
    return books.with_parts(
        estimate(),
        {
            "xl/worksheets/_rels/sheet1.xml.rels": f'{_XML}<Relationships xmlns="{relations}"><Relationship Id="rId1" Type="{space}/comments" Target="/xl/comments1.xml"/></Relationships>',
            "xl/comments1.xml": f'{LAUGHS}<comments xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><t>&l9;</t></comments>',
        },
    )


def long(rows: int = 100_000) -> bytes:
    """The estimate with a sheet of 100,000 rows beside it."""
    lines = "".join(f'<row r="{n}"><c r="A{n}"><v>{n}.5</v></c></row>' for n in range(20, 20 + rows))
    return sheet(lambda text: text.replace("</sheetData>", f"{lines}</sheetData>"))


def linked() -> bytes:
    """The estimate with a formula that takes a value from another file, as a spreadsheet program keeps it."""
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    space = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    data = sheet(lambda text: text.replace("</sheetData>", '<row r="20"><c r="A20"><f>[1]Sheet1!$A$1*2</f><v>14</v></c></row></sheetData>'))  # fmt: skip
    data = books.with_parts(
        data,
        {
            "xl/externalLinks/externalLink1.xml": f'{_XML}<externalLink xmlns="{main}" xmlns:r="{space}"><externalBook r:id="rId1"><sheetNames><sheetName val="Sheet1"/></sheetNames><sheetDataSet><sheetData sheetId="0"><row r="1"><cell r="A1"><v>7</v></cell></row></sheetData></sheetDataSet></externalBook></externalLink>',
            "xl/externalLinks/_rels/externalLink1.xml.rels": f'{_XML}<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="{space}/externalLinkPath" Target="file:///etc/other.xlsx" TargetMode="External"/></Relationships>',
        },
    )
    data = books.edited(data, RELATIONS, lambda text: text.replace("</Relationships>", f'<Relationship Id="rIdE" Type="{space}/externalLink" Target="externalLinks/externalLink1.xml"/></Relationships>'))  # fmt: skip
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"
    data = books.edited(data, "[Content_Types].xml", lambda text: text.replace("</Types>", f'<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="{kind}"/></Types>'))  # fmt: skip
    return books.edited(data, WORKBOOK, lambda text: text.replace("</sheets>", f'</sheets><externalReferences xmlns:e="{space}"><externalReference e:id="rIdE"/></externalReferences>'))  # fmt: skip


@cache
def made(name: str) -> bytes:
    """The bytes of one of :data:`REFUSED`."""
    return REFUSED[name][0]()

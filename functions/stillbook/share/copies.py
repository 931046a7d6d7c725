"""A copy of a workbook for a reader outside the office: what that reader may see, and nothing else.

>>> from stillbook.share.copies import share
>>> share("estimate.xlsx", "for-client.xlsx", "client").sheets        # doctest: +SKIP
('Proposal',)

The copy is not the workbook with things taken out: it is a new file, into which the cells that may be seen are written,
with their looks, pictures and charts. Before it is put in place its bytes are searched for what it must not hold
(:mod:`stillbook.share.proof`).
"""

from __future__ import annotations

import datetime
import hashlib
import io
import re
import zipfile
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Final

from lxml import etree

from stillbook.cautions import CAUTIONS
from stillbook.cells import Cell, ErrorValue
from stillbook.share.cells import SharedCells, shared_cells
from stillbook.share.colours import Palette
from stillbook.share.looks import looks
from stillbook.share.marks import refuse_hiding
from stillbook.share.pictures import PictureWriter, overlaid
from stillbook.share.plain_formulas import spaced
from stillbook.share.proof import prove, withheld_numbers, withheld_texts
from stillbook.share.runs import runs_of, strings_of
from stillbook.share.sheets import Record, SharedSheet, SheetWriter, Stamp
from stillbook.share.shown import Shown, shown_areas, shown_sheets
from stillbook.share.styles import CopiedStyles, bare_theme
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.file.address import place, references
from stillbook.workbook.file.package import CALCULATION_ID, Package
from stillbook.workbook.file.parts import MAIN, PACKAGE_RELATIONS, RELATIONS, Element, written
from stillbook.workbook.file.saving import refuse_existing, save
from stillbook.workbook.file.sheet import Key
from stillbook.workbook.job.audience import NEVER_PRINTED, Audience
from stillbook.workbook.job.draft import marks_itself, require_draft
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import column, words

M: Final = f"{{{MAIN}}}"
R: Final = f"{{{RELATIONS}}}"
_TYPES: Final = "http://schemas.openxmlformats.org/package/2006/content-types"
_PROPERTIES: Final = "http://schemas.openxmlformats.org/officeDocument/2006/custom-properties"
_PROPERTY_TYPES: Final = "http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes"
_PROPERTY_FORM: Final = "{D5CDD505-2E9C-101B-9397-08002B2CF9AE}"
_CORE: Final = "http://schemas.openxmlformats.org/package/2006/metadata/core-properties"
_SHEET_ML: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml."
_ML: Final = "application/vnd.openxmlformats-officedocument."
_KINDS: Final = {
    "xl/workbook": _SHEET_ML + "sheet.main+xml",
    "xl/styles": _SHEET_ML + "styles+xml",
    "xl/worksheets/": _SHEET_ML + "worksheet+xml",
    "xl/theme/": _ML + "theme+xml",
    "xl/drawings/": _ML + "drawing+xml",
    "xl/charts/": _ML + "drawingml.chart+xml",
    "docProps/core": "application/vnd.openxmlformats-package.core-properties+xml",
    "docProps/custom": _ML + "custom-properties+xml",
}
_CAUTION_MARK: Final = "not a certified design"
"""Words by which a sheet is known to show the cautions itself."""

REVISION_NAME: Final = "revision"
"""The name of the cell that holds the number of the latest revision."""

_LONGEST_NUMBER: Final = 20

REVISION_PROPERTY: Final = "shared_from_revision"
AUDIENCE_PROPERTY: Final = "shared_for"
_SHORT: Final = 12


@dataclass(frozen=True, slots=True)
class SharedCopy:
    """What was shared.

    Args:
        path: The file written.
        audience: For whom.
        revision: The SHA-256 of the source file, in hexadecimal.
        sheets: The sheets in it.
        formulas: How many formulas stay formulas.
        fixed: Cells whose formula depends on what the reader fills in, and yet became a value.
        taken: What is in it that is no cell, counted, in words.
        unseen: Cells of the shown ones that hold what the page does not show; they are not in it.
        left_out: What of the shown sheets is not in it, in words.
        searched: How many withheld texts and numbers the file was searched for.
        failed: The rules that fail in the source.
        mark: The words that mark each page as a draft; empty where the source stands.
    """

    path: Path
    audience: Audience
    revision: str
    sheets: tuple[str, ...]
    formulas: int
    fixed: tuple[str, ...]
    taken: tuple[str, ...]
    unseen: tuple[str, ...]
    left_out: tuple[str, ...]
    searched: int
    failed: tuple[str, ...]
    mark: str


def share(
    path: str | PathLike[str],
    out: str | PathLike[str],
    audience: Audience,
    *,
    replace: bool = False,
    draft: bool = False,
    now: datetime.datetime | None = None,
) -> SharedCopy:
    """Write a copy for a client or a contractor; the source is not changed.

    Args:
        path: The workbook, calculated or not.
        out: Where the copy goes.
        audience: Who is to read it; the workbook says what that reader may see (:mod:`stillbook.share.shown`).
        replace: Whether a file that stands at ``out`` may be replaced.
        draft: Whether a workbook that does not stand is shared as a draft, with a mark on each page.
        now: When it is shared; this moment when left out.

    Raises:
        DraftError: If the workbook does not stand and no draft is asked for. Nothing is written then.
        WorkbookError: If the workbook does not say what may be seen, a shown cell holds an error, the copy would hold
            something withheld, or it cannot be written. Nothing is written then.
    """
    source, target = Path(path), Path(out)
    if target.suffix.lower() != ".xlsx":
        raise WorkbookError(f"{target}: give a file name that ends in .xlsx")
    if target.exists() and source.exists() and target.samefile(source):
        raise WorkbookError(f"{target}: it is the workbook itself: give the copy another name")
    if not replace:
        refuse_existing(target)
    job = Job.open(source)
    stamp = source.stat().st_mtime
    revision = hashlib.sha256(job.package.to_bytes()).hexdigest()
    report = job.calculate()
    moment = now or datetime.datetime.now()
    saved = datetime.datetime.fromtimestamp(stamp)
    try:
        shown_areas(job.package, audience)
    except WorkbookError as error:
        raise WorkbookError(f"{source}: {error}") from None
    mark = require_draft(report, draft=draft)
    try:
        copy = _Copy(job.package, audience, mark)
        data = copy.made_file(revision, saved, moment)
    except WorkbookError as error:
        raise WorkbookError(f"{source}: {error}") from None
    save(target, data)
    return SharedCopy(
        path=target,
        audience=audience,
        revision=revision,
        sheets=tuple(copy.shown),
        formulas=sum(map(len, copy.cells.formulas.values())),
        fixed=tuple(place(*at) for at in copy.cells.fixed),
        taken=copy.taken,
        unseen=tuple(place(sheet, *at) for sheet, view in copy.shown.items() for at in view.unseen),
        left_out=tuple(dict.fromkeys(copy.record.left_out)),
        searched=copy.searched,
        failed=tuple(check.rule for check in report.failed),
        mark=mark,
    )


def stamp_lines(
    revision: str, saved: datetime.datetime, moment: datetime.datetime, audience: Audience, named: str = ""
) -> tuple[str, ...]:
    """The lines that say where a copy comes from; ``named`` is the number that the office gave the revision.

    >>> day = datetime.datetime(2026, 3, 2, 9, 30)
    >>> stamp_lines("ab12cd34ef56ab12", day, day, "client")[0]
    'Copy for the client, made 2026-03-02 09:30 from revision ab12cd34ef56, saved 2026-03-02 09:30.'
    >>> stamp_lines("ab12cd34ef56ab12", day, day, "client", "B")[0]
    'Copy for the client, made 2026-03-02 09:30 from revision B (ab12cd34ef56), saved 2026-03-02 09:30.'
    """
    source = f"{named} ({revision[:_SHORT]})" if named else revision[:_SHORT]
    return (
        f"Copy for the {audience}, made {moment:%Y-%m-%d %H:%M} from revision {source}, saved {saved:%Y-%m-%d %H:%M}.",
    )


def _named(package: Package) -> str:
    """The number of the revision, from the cell that is named so; empty without one."""
    found = column(package, REVISION_NAME)
    if found is None:
        return ""
    sheet, area = found
    value = package.value(sheet, area.first_row, area.first_column)
    return "" if isinstance(value, ErrorValue) else words(value)[:_LONGEST_NUMBER]


class _Copy:
    """The parts of one shared copy."""

    def __init__(self, package: Package, audience: Audience, mark: str) -> None:
        self.package = package
        self.mark = mark
        self.audience: Audience = audience
        self.source = package.parts()
        old = self._styles()
        theme = self.source.related(self.source.workbook, "theme")
        self.theme = self.source.tree(theme) if theme else None
        self.palette = Palette(self.theme, old)
        seen = looks(old, self.palette)
        self.shown: dict[str, Shown] = shown_sheets(package, self.source, audience)
        strings = strings_of(self.source)
        self.cells: SharedCells = shared_cells(
            package,
            self.shown,
            seen,
            self.palette,
            {sheet: runs_of(self.source, strings, view) for sheet, view in self.shown.items()},
            {sheet: overlaid(self.source, view) for sheet, view in self.shown.items()},
        )
        for sheet, view in self.shown.items():
            refuse_hiding(self.source, view, old, self.palette, seen, self.cells.values[sheet])
        self.record = Record()
        self.styles = CopiedStyles(old, self.palette)
        self.made: dict[str, bytes] = {}
        self.relations: dict[str, list[tuple[str, str, str]]] = {}
        self.points: dict[str, list[str]] = {}
        self.searched = 0

    @property
    def taken(self) -> tuple[str, ...]:
        """What is in the copy that is no cell, in words."""
        counted = [f"{words} ({count})" for words, count in self.record.taken.items() if count]
        return (*counted, f"typefaces {', '.join(sorted(self.styles.faces))}")

    def made_file(self, revision: str, saved: datetime.datetime, moment: datetime.datetime) -> bytes:
        """The bytes of the file, proved to hold nothing that is withheld."""
        lines = stamp_lines(revision, saved, moment, self.audience, self._revision_number())
        sheets = self._write_sheets(Stamp(self._with_cautions(lines), self.styles.stamp()))
        self._write_workbook(sheets)
        self._write_looks()
        self._write_properties(revision, moment)
        self._write_relations()
        self._write_types()
        data = _calculated(_zipped(self.made, moment)) if self.cells.formulas else _zipped(self.made, moment)
        self._prove(data, sheets)
        return data

    def _styles(self) -> Element:
        part = self.source.related(self.source.workbook, "styles")
        if part is None:
            raise WorkbookError("it has no styles: save it once in a spreadsheet program, and share that")
        return self.source.tree(part)

    def _revision_number(self) -> str:
        """The number of the revision, from the cell that is named so, where a shown cell names it too."""
        named = _named(self.package)
        word = re.compile(rf"(?<!\w){re.escape(spaced(named))}(?!\w)")
        return named if named and any(word.search(text) for text in self.cells.texts) else ""

    def _with_cautions(self, lines: tuple[str, ...]) -> tuple[str, ...]:
        """The stamp, and under it the cautions where no shown cell has them."""
        texts = [value for cells in self.cells.values.values() for value in cells.values() if isinstance(value, str)]
        return lines if any(_CAUTION_MARK in text for text in texts) else (*lines, *CAUTIONS)

    # --- parts --------------------------------------------------------------------------------------------------------

    def _write_sheets(self, stamp: Stamp) -> dict[str, SharedSheet]:
        pictures = PictureWriter(self.package, self.shown, self.cells, self.palette, self.record)
        sheets = {}
        for number, (name, view) in enumerate(self.shown.items(), start=1):
            drawing = pictures.drawing(view)
            part = f"xl/worksheets/sheet{number}.xml"
            writer = SheetWriter(self.source, view, self.cells, self.styles, self.record)
            sheet = writer.write(
                stamp,
                first=number == 1,
                drawing="rIdDrawing" if drawing.root is not None else "",
                mark="" if marks_itself(self.package, name) else self.mark,
            )
            sheet.repeats = self._repeated_rows(name)
            sheets[name] = sheet
            self.made[part] = written(sheet.root)
            self.record.labels.add(name)
            self.relations[part] = [(key, "hyperlink", address) for key, address in sheet.links.items()]
            if drawing.root is not None:
                drawn = f"xl/drawings/drawing{number}.xml"
                self.made[drawn] = written(drawing.root)
                self.relations[part].append(("rIdDrawing", "drawing", drawn))
                self.relations[drawn] = [(key, kind, target) for key, (kind, target) in drawing.relations.items()]
        self.made |= pictures.made
        self.points = pictures.points
        return sheets

    def _repeated_rows(self, sheet: str) -> str:
        """The reference of the rows that a sheet prints on every page."""
        for name in self.package.names:
            if name.name.casefold() == "_xlnm.print_titles" and name.sheet == sheet:
                rows = name.refers_to.rpartition("!")[2]
                if all(piece.strip("$").isdigit() for piece in rows.split(":")) and "," not in name.refers_to:
                    return "'" + sheet.replace("'", "''") + "'!" + rows
        return ""

    def _write_workbook(self, sheets: dict[str, SharedSheet]) -> None:
        root = etree.Element(f"{M}workbook", nsmap={None: MAIN, "r": RELATIONS})
        settings = etree.SubElement(root, f"{M}workbookPr")
        if self.package.starts_1904:
            settings.set("date1904", "1")
        etree.SubElement(etree.SubElement(root, f"{M}bookViews"), f"{M}workbookView")
        listed = etree.SubElement(root, f"{M}sheets")
        names = etree.SubElement(root, f"{M}definedNames")
        links = []
        unprinted = {name.sheet for name in self.package.names if name.name.casefold() == NEVER_PRINTED}
        for number, (name, sheet) in enumerate(sheets.items(), start=1):
            entry = etree.SubElement(listed, f"{M}sheet", name=name, sheetId=str(number))
            entry.set(f"{R}id", f"rId{number}")
            links.append((f"rId{number}", "worksheet", f"xl/worksheets/sheet{number}.xml"))
            prints = references(name, sheet.prints)
            if name in unprinted:
                prints = f"{prints.rpartition('!')[0]}!$A$1"
            pairs = [("_xlnm.Print_Area", prints), ("_xlnm.Print_Titles", sheet.repeats)]
            for own, refers_to in pairs:
                if refers_to:
                    made = etree.SubElement(names, f"{M}definedName", name=own, localSheetId=str(number - 1))
                    made.text = refers_to
        etree.SubElement(root, f"{M}calcPr", calcId=str(CALCULATION_ID))
        links += [("rIdStyles", "styles", "xl/styles.xml"), ("rIdTheme", "theme", "xl/theme/theme1.xml")]
        self.made["xl/workbook.xml"] = written(root)
        self.relations["xl/workbook.xml"] = links

    def _write_looks(self) -> None:
        self.made["xl/theme/theme1.xml"] = written(bare_theme(self.palette, self.theme, self.styles.faces))
        self.made["xl/styles.xml"] = written(self.styles.root())

    def _write_properties(self, revision: str, moment: datetime.datetime) -> None:
        core = etree.Element(f"{{{_CORE}}}coreProperties", nsmap={"cp": _CORE, "dcterms": "http://purl.org/dc/terms/"})
        stamp = moment.astimezone(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        self.record.labels.add(stamp)
        for kind in ("created", "modified"):
            made = etree.SubElement(core, f"{{http://purl.org/dc/terms/}}{kind}")
            made.set("{http://www.w3.org/2001/XMLSchema-instance}type", "dcterms:W3CDTF")
            made.text = stamp
        self.made["docProps/core.xml"] = written(core)
        own = etree.Element(f"{{{_PROPERTIES}}}Properties", nsmap={None: _PROPERTIES, "vt": _PROPERTY_TYPES})
        for number, (name, value) in enumerate(
            ((REVISION_PROPERTY, revision), (AUDIENCE_PROPERTY, self.audience)), start=2
        ):
            made = etree.SubElement(own, f"{{{_PROPERTIES}}}property", fmtid=_PROPERTY_FORM, pid=str(number), name=name)
            etree.SubElement(made, f"{{{_PROPERTY_TYPES}}}lpwstr").text = value
            self.record.labels |= {name, value}
        self.made["docProps/custom.xml"] = written(own)
        self.relations[""] = [
            ("rId1", "officeDocument", "xl/workbook.xml"),
            ("rId2", "core-properties", "docProps/core.xml"),
            ("rId3", "custom-properties", "docProps/custom.xml"),
        ]

    def _write_relations(self) -> None:
        for part, links in self.relations.items():
            if not links:
                continue
            root = etree.Element(f"{{{PACKAGE_RELATIONS}}}Relationships", nsmap={None: PACKAGE_RELATIONS})
            for key, kind, target in links:
                space = PACKAGE_RELATIONS + "/metadata" if kind == "core-properties" else RELATIONS
                made = etree.SubElement(root, f"{{{PACKAGE_RELATIONS}}}Relationship", Id=key, Type=f"{space}/{kind}")
                made.set("Target", target if kind == "hyperlink" else f"/{target}")
                if kind == "hyperlink":
                    made.set("TargetMode", "External")
            folder, _, name = part.rpartition("/")
            self.made[f"{folder}/_rels/{name}.rels".removeprefix("/")] = written(root)

    def _write_types(self) -> None:
        root = etree.Element(f"{{{_TYPES}}}Types", nsmap={None: _TYPES})
        for ending, kind in (
            ("rels", "application/vnd.openxmlformats-package.relationships+xml"),
            ("xml", "application/xml"),
            ("png", "image/png"),
            ("jpeg", "image/jpeg"),
        ):
            etree.SubElement(root, f"{{{_TYPES}}}Default", Extension=ending, ContentType=kind)
        for part in self.made:
            kind = next((kind for start, kind in _KINDS.items() if part.startswith(start)), "")
            if kind and part.endswith(".xml"):
                etree.SubElement(root, f"{{{_TYPES}}}Override", PartName=f"/{part}", ContentType=kind)
        self.made["[Content_Types].xml"] = written(root)

    # --- the proof ----------------------------------------------------------------------------------------------------

    def _prove(self, data: bytes, sheets: dict[str, SharedSheet]) -> None:
        values: dict[str, dict[Key, Cell]] = {
            name: {**self.cells.values[name], **sheet.stamped} for name, sheet in sheets.items()
        }
        pieces = (run.text for runs in self.cells.runs.values() for several in runs.values() for run in several)
        labels = {*self.record.labels, *self.cells.words, *pieces}
        texts = withheld_texts(self.source, {*labels, *self.cells.texts})
        numbers = withheld_numbers(self.package, self.source, self.cells.values)
        self.searched = len(texts) + len(numbers)
        prove(
            data,
            values=values,
            formulas=self.cells.formulas,
            labels=labels,
            points=self.points,
            texts=texts,
            numbers=numbers,
        )


def _zipped(made: dict[str, bytes], moment: datetime.datetime) -> bytes:
    """Parts as a package, the list of their types first, as programs expect it."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(made, key=lambda name: (name != "[Content_Types].xml", name != "_rels/.rels")):
            entry = zipfile.ZipInfo(name, moment.timetuple()[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            archive.writestr(entry, made[name])
    return out.getvalue()


def _calculated(data: bytes) -> bytes:
    """The copy with the results of its own formulas, from its own cells."""
    package = Package(data)
    package.write(calculate(package).changes)
    return package.to_bytes()

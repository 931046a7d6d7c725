"""Printing sheets of a calculated workbook to PDF, through LibreOffice."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import Final

from lxml import etree

from stillbook.hosts.host import HostError
from stillbook.hosts.libreoffice import office
from stillbook.hosts.libreoffice.office import Office
from stillbook.share.copies import AUDIENCE_PROPERTY
from stillbook.share.headers import headers_of, put_mark, put_project
from stillbook.share.print_sets import sheets_of_set
from stillbook.share.shown import shown_areas
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.elements import with_elements
from stillbook.workbook.file.markup import local, parse, parser, tag, tag_end, unescaped
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import tree, written
from stillbook.workbook.file.saving import save
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.audience import NEVER_PRINTED, PrintSet
from stillbook.workbook.job.draft import marks_itself, require_draft
from stillbook.workbook.job.estimate import Job

PROPOSAL: Final = "Proposal"
"""The sheet that is printed unless others are asked for."""

_OPTIONS: Final = ("UseTaggedPDF", "DisplayPDFDocumentTitle")
_FORM: Final = "pdf:calc_pdf_Export:" + json.dumps({name: {"type": "boolean", "value": "true"} for name in _OPTIONS})
"""Tagged, and a viewer shows its title. LibreOffice 7.4 tags no table and no chart text: no standard is claimed."""

_CORE: Final = "docProps/core.xml"
_TITLE: Final = "{http://purl.org/dc/elements/1.1/}title"


def print_proposal(
    path: Path,
    out_pdf: Path,
    sheets: Sequence[str] = (),
    mine: Office | None = None,
    *,
    draft: bool = False,
    print_set: PrintSet | None = None,
) -> list[str]:
    """Print sheets of a workbook to a PDF file; lines that say what was printed.

    The workbook is calculated here first and not changed. LibreOffice is given the values alone, so that it prints what
    was calculated whether or not it knows the formulas.

    Args:
        path: The workbook.
        out_pdf: The PDF file.
        sheets: Names of the sheets to print, in the order of the workbook; the proposal when left out or, where there
            is none, what the workbook marks as shown to a client.
        mine: The LibreOffice to print with; the one that the user would start if left out.
        draft: Whether a workbook that does not stand is printed as a draft, with a mark on each page.
        print_set: The set of sheets to print where no names of sheets are given (:mod:`stillbook.share.print_sets`).

    Raises:
        DraftError: If the workbook does not stand and no draft is asked for.
        HostError: If LibreOffice is not installed or fails; the message says what to do.
        WorkbookError: If the workbook cannot be read or calculated, has no such sheet or set, or the file cannot be
            written.
    """
    mine = mine or office.find()
    if mine is None:
        raise HostError(
            f"printing needs LibreOffice, which is not found: install LibreOffice Calc, or open {path.name} in a "
            "spreadsheet program and print it there"
        )
    if out_pdf.suffix.lower() != ".pdf":
        raise WorkbookError(f"{out_pdf}: give a file name that ends in .pdf")
    job = Job.open(path)
    sheets = sheets or _wanted(path, job.package, print_set)
    found = {sheet: job.package.find_sheet(sheet) for sheet in sheets}
    for sheet, spelled in found.items():
        if spelled is None:
            raise WorkbookError(f'{path}: there is no sheet "{sheet}": it has {", ".join(job.package.sheets)}')
    report = job.calculate()
    mark = require_draft(report, draft=draft)
    chosen = {spelled for spelled in found.values() if spelled is not None}
    _write_out_truth(job.package, chosen)
    with tempfile.TemporaryDirectory(prefix="stillbook-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        values = folder / f"{path.stem}.xlsx"  # a page's footer may show the name
        unmarked = {sheet for sheet in chosen if mark and not marks_itself(job.package, sheet)}
        marked = with_marks(job.package, unmarked, mark)
        if print_set != "office":
            marked = with_project(marked, job.package, chosen)
        titled = with_title(marked, job.package)
        values.write_bytes(values_alone(titled, chosen))
        printed = mine.apart(folder).convert(values, _FORM, folder).read_bytes()
    save(out_pdf, printed)
    wrong = [error for error in report.errors if error.sheet in chosen]
    return [f"Printed {' and '.join(sheets)} to {out_pdf}.", *(f"{e.place} prints {e.code}: {e.reason}" for e in wrong)]


def _wanted(path: Path, package: Package, print_set: PrintSet | None) -> Sequence[str]:
    if print_set is None:
        return _for_a_client(path, package)
    try:
        return sheets_of_set(package, print_set)
    except WorkbookError as error:
        raise WorkbookError(f"{path}: {error}") from None


def _for_a_client(path: Path, package: Package) -> Sequence[str]:
    if package.find_sheet(PROPOSAL):
        return (PROPOSAL,)
    if AUDIENCE_PROPERTY in package.properties():
        return _pages(package)
    try:
        never = {name.sheet for name in package.names if name.name.casefold() == NEVER_PRINTED}
        return tuple(sheet for sheet in shown_areas(package, "client") if sheet not in never)
    except WorkbookError:
        raise WorkbookError(
            f'{path}: there is no sheet "{PROPOSAL}" and none for a client: name the sheet to print, of '
            f"{', '.join(package.sheets)}"
        ) from None


def _pages(package: Package) -> Sequence[str]:
    """The sheets of a shared copy, without those whose cells are only points of drawings: of them one cell prints."""
    areas = {sheet: package.print_areas(sheet) for sheet in package.sheets}
    points = {sheet for sheet, found in areas.items() if [(area.rows, area.columns) for area in found] == [(1, 1)]}
    return tuple(sheet for sheet in package.sheets if sheet not in points) or tuple(package.sheets)


def _write_out_truth(package: Package, sheets: Collection[str]) -> None:
    """Make TRUE and FALSE text: LibreOffice prints a truth value without a formula as 1 or 0."""
    for sheet in sheets:
        truths = {at: text in ("1", "true") for at, (kind, text) in package.sheet(sheet).stored.items() if kind == "b"}
        package.write({sheet: {at: Change(str(truth).upper()) for at, truth in truths.items()}})


def with_marks(package: Package, sheets: Collection[str], mark: str) -> bytes:
    """The workbook file with a mark in the page header of some sheets."""
    archive = Archive(package.to_bytes())
    parts = package.parts()
    changed: dict[str, bytes] = {}
    for sheet, part in parts.sheets().items():
        if sheet in sheets:
            root = parts.tree(part)
            put_mark(headers_of(root), mark)
            changed[part] = written(root)
    return archive.with_parts(changed)


def with_project(data: bytes, package: Package, sheets: Collection[str]) -> bytes:
    """The workbook file whose pages say the project at their foot, and not how the office calls the file."""
    archive = Archive(data)
    changed: dict[str, bytes] = {}
    for sheet, part in package.parts().sheets().items():
        if sheet in sheets:
            name = archive.spelled(part)
            root = tree(archive.read(name), name)
            put_project(headers_of(root), _project(package))
            changed[name] = written(root)
    return archive.with_parts(changed)


def _project(package: Package) -> str:
    """The name of the project of a workbook; empty where it has none."""
    project = next((n.cells for n in package.names if n.name.casefold() == "project" and not n.sheet), None)
    named = None if project is None else package.value(project[0], project[1].first_row, project[1].first_column)
    return named.strip() if isinstance(named, str) else ""


def with_title(data: bytes, package: Package) -> bytes:
    """The workbook file with its title and the name of its project as its title, as far as it has them."""
    archive = Archive(data)
    if _CORE not in archive:
        return data
    name = archive.spelled(_CORE)
    root = tree(archive.read(name), name)
    title = root.find(_TITLE)
    if title is None:
        title = etree.SubElement(root, _TITLE)
    own = (title.text or "").strip()
    title.text = ": ".join(text for text in (own, _project(package)) if text)
    return archive.with_parts({name: written(root)})


_BLANK: Final = re.compile(rb"<((?:\w+:)?v)>(\s+)</")
_KEPT: Final = rb'<\1 xml:space="preserve">\2</'
"""A text of blanks, which LibreOffice drops from a cell without a formula: a chart then labels with a number."""


def values_alone(data: bytes, shown: Collection[str]) -> bytes:
    """A workbook file with the values of its cells but no formulas, and with all sheets hidden but some.

    Raises:
        WorkbookError: If the file is damaged.
    """
    archive = Archive(data)
    changed: dict[str, bytes] = {}
    for name in archive.names:
        part = archive.read(name) if name.lower().endswith(".xml") else b""
        if b"sheetData" in part:
            changed[name] = _BLANK.sub(_KEPT, with_elements(part, name, {"f"}, lambda _: None)[0])
        elif name.lower().endswith("workbook.xml"):
            changed[name] = _with_sheets_hidden(part, name, shown)
    return archive.with_parts(changed)


def _with_sheets_hidden(data: bytes, part: str, shown: Collection[str]) -> bytes:
    """The workbook's own part with all sheets hidden but some.

    LibreOffice prints a hidden sheet all the same if it is the open one or has a print area, so that is changed too.
    """
    titles: list[str] = []
    found: list[tuple[int, str, dict[str, str]]] = []
    reader = parser()

    def start(name: str, attributes: dict[str, str]) -> None:
        kind = local(name)
        if kind == "sheet":
            titles.append(unescaped(attributes.get("name", "")))
        if kind in ("sheet", "workbookView") or (kind, attributes.get("name")) == ("definedName", "_xlnm.Print_Area"):
            found.append((reader.CurrentByteIndex, name, attributes))

    reader.StartElementHandler = start
    parse(reader, data, part)
    first = next(str(place) for place, title in enumerate(titles) if title in shown)
    hidden = {str(place) for place, title in enumerate(titles) if title not in shown}
    out: list[bytes] = []
    copied = 0
    for at, name, attributes in found:
        end = tag_end(data, at)
        if local(name) == "definedName":
            if attributes.get("localSheetId") not in hidden:
                continue
            new = ""
            end = data.index(b">", data.index(b"</", end)) + 1
        else:
            if local(name) == "sheet":
                title = unescaped(attributes.get("name", ""))
                changes = {"state": "visible" if title in shown else "hidden"}
            else:
                changes = {"firstSheet": first, "activeTab": first}
            new = tag(name, {**attributes, **changes}.items(), empty=data[end - 2 : end] == b"/>")
        out += [data[copied:at], new.encode()]
        copied = end
    return b"".join((*out, data[copied:]))

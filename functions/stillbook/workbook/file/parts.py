"""The parts of a package as trees: for work on all of it, where the module ``package`` keeps to cells."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from lxml import etree

from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import read_cell
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.markup import whole
from stillbook.workbook.file.relations import Relation, relations

MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE_RELATIONS: Final = "http://schemas.openxmlformats.org/package/2006/relationships"
DRAWING: Final = "http://schemas.openxmlformats.org/drawingml/2006/main"
CHART: Final = "http://schemas.openxmlformats.org/drawingml/2006/chart"
SHEET_DRAWING: Final = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"

Element = Any
"""An element of a tree; lxml declares no types."""


class Parts:
    """The parts of an .xlsx package.

    Args:
        archive: The file.
        changed: Parts that have become others since it was opened.
    """

    def __init__(self, archive: Archive, changed: Mapping[str, bytes] | None = None) -> None:
        self._archive = archive
        self._changed = changed or {}

    @property
    def names(self) -> list[str]:
        """Names of the parts, in file order."""
        return self._archive.names

    def read(self, name: str) -> bytes:
        """The bytes of a part.

        Raises:
            WorkbookError: If it is missing or damaged.
        """
        spelled = self._archive.spelled(name)
        return self._changed[spelled] if spelled in self._changed else self._archive.read(name)

    def tree(self, name: str) -> Element:
        """The root element of an XML part.

        Raises:
            WorkbookError: If it is missing, not well formed, or holds a document type.
        """
        return tree(self.read(name), name)

    def relations(self, name: str) -> dict[str, Relation]:
        """The relationships of a part by id; of the package itself for an empty name."""
        return relations(self._archive, name)

    def related(self, name: str, kind: str) -> str | None:
        """The first part of a kind that a part leads to."""
        found = (relation.target for relation in self.relations(name).values() if relation.kind == kind)
        return next((target for target in found if target in self._archive), None)

    @property
    def workbook(self) -> str:
        """The name of the workbook's own part."""
        return self.related("", "officeDocument") or "xl/workbook.xml"

    def sheets(self) -> dict[str, str]:
        """The part of each sheet with cells, by its name, in their order."""
        relations = self.relations(self.workbook)
        found = {}
        for sheet in self.tree(self.workbook).iter(f"{{{MAIN}}}sheet"):
            relation = relations.get(sheet.get(f"{{{RELATIONS}}}id", ""))
            if relation is not None and relation.kind == "worksheet":
                found[sheet.get("name", "")] = relation.target
        return found


def tree(data: bytes, name: str) -> Element:
    """The root element of XML, read without entities, document types or the network.

    Raises:
        WorkbookError: If it is not well formed, or holds a document type.
    """
    reader = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, remove_comments=True, remove_pis=True
    )
    try:
        root = etree.fromstring(data, reader)
    except etree.XMLSyntaxError as error:
        raise WorkbookError(f"it is damaged ({name} line {error.lineno}): use an earlier copy of it") from None
    if root.getroottree().docinfo.doctype:
        raise WorkbookError(
            "it holds a document type declaration, which no spreadsheet program writes: it is not opened"
        )
    return root


def cells_of(root: Element) -> Iterator[tuple[Element, int, list[tuple[Element, int]]]]:
    """Each row of a sheet with its number, and its cells with theirs; one without an address follows the one before."""
    number = 0
    for row in root.iterfind(f"{{{MAIN}}}sheetData/{{{MAIN}}}row"):
        number = whole(row.get("r"), number + 1)
        column = 0
        cells = []
        for cell in row.iterfind(f"{{{MAIN}}}c"):
            at = read_cell(cell.get("r", ""))
            column = at[1] if at else column + 1
            cells.append((cell, column))
        yield row, number, cells


def local(element: Element) -> str:
    """The name of an element without its namespace."""
    return str(element.tag).rpartition("}")[2]


def written(root: Element) -> bytes:
    """A tree as the bytes of a part."""
    etree.cleanup_namespaces(root)
    return bytes(etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True))

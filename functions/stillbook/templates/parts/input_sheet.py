"""The sheet of inputs: its sections, its rows of boxes side by side, and the build-ups typed on it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from stillbook.quantities import LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.closed import closed, tell
from stillbook.templates.parts.walls import FOUND, LAYERS, NAMED
from stillbook.workbook.job.inputs import InputSpec

TYPE_HERE: Final = "Type only in the boxed cells. Everything else in the workbook is calculated from them."
OPEN: Final = (
    "What an office sets once. The + at the left edge opens a part, the small 2 above it all of them. Type in the boxed cells alone: "
    "a row says where its value is changed from the template's, a heading in how many. This sheet is not locked, so that its parts open, and not printed."
)

Section = tuple[str, str, list[InputSpec]]
"""Title, note and inputs of a section."""

Leaf = tuple[str, str, bool, list[tuple[str, int]]]
"""Name, label, whether it must be there, and the layers it starts with, of a leaf."""


def begin(book: Book, sheet: str = "Inputs", purpose: str = TYPE_HERE, *, parts: bool = False) -> Page:
    """Start a sheet of inputs, with the cell of its unit system; in ``parts`` it says which values are changed."""
    page = book.page(sheet, purpose, (31, 25, 10, 18, 38, *([11] if parts else [])))
    page.put(page.at, FIRST, "Units of bare numbers", font=look.QUIET)
    page.put(page.at, FIRST + 1, book.system, font=look.QUIET)
    book.name("units", page, page.at, FIRST + 1)
    page.skip(2)
    return page


def sections(page: Page, parts: Iterable[Section]) -> None:
    """Write sections of inputs."""
    for title, note, rows in parts:
        page.heading(title, note)
        for entry in rows:
            page.input(entry)
        page.skip()


def named(entries: Iterable[InputSpec], *names: str) -> list[InputSpec]:
    """Some of the inputs that every estimate has, by name."""
    known = {entry.name: entry for entry in entries}
    return [known[name] for name in names]


def row_of_boxes(page: Page, label: str, *entries: InputSpec) -> None:
    """A row of boxes side by side, told apart from the template's values."""
    page.put(page.at, FIRST, label, border=look.ROW)
    for offset, entry in enumerate(entries, start=1):
        page.input_cell(page.at, FIRST + offset, entry)
    tell(page, page.at, *entries)
    page.sheet.row_dimensions[page.at].height = 17
    page.at += 1


def build_ups(book: Book, page: Page, leaves: Iterable[Leaf], title: str = "Build-ups") -> None:
    """The leaves, as rows of material, thickness and count, each leaf a named range unless a name that is chosen has a say in it."""
    unit = book.unit(LENGTH)
    with closed(page, title, f"a material from the list; of a limp sheet its mass per area, such as {book.pick('1 lb/ft²', '5 kg/m²')}"):
        page.head_row(("Layer", "Material", f"Thickness, {unit}", "Sheets", ""), words=(0, 1))
        for leaf, label, needed, layers in leaves:
            first = page.at
            for number in range(1, LAYERS + 1):
                material, count = layers[number - 1] if number <= len(layers) else (None, None)
                _layer_row(book, page, leaf, label, number, material, count, optional=number > 1 or not needed)
            if leaf not in NAMED:
                page.name(f"{leaf}_layers", first, FIRST + 1, page.at - 1, FIRST + 3)


def _layer_row(book: Book, page: Page, leaf: str, label: str, number: int, material: str | None, count: int | None, *, optional: bool) -> None:
    row_of_boxes(
        page,
        f"{label}, layer {number}",
        book.input(f"{leaf}_material_{number}", f"{label}, layer {number}", "", material, options="layer_materials", material=True, optional=optional).saying(
            "From the table; one without a size, such as Clay brick, needs a thickness. Of a limp sheet its mass per area."
        ),
        book.input(
            f"{leaf}_thickness_{number}", f"{label}, layer {number}, thickness", LENGTH, None, (0.01, 0.2), (24, 600), look.GENERAL, optional=True
        ).saying("Only where it is not the usual one, or the layer is given as a mass per area."),
        book.input(f"{leaf}_count_{number}", f"{label}, layer {number}, sheets", "", count, 1, 10, optional=optional, whole=True)
        .saying("Sheets of this layer.")
        .trying(*((1, 2, 3) if number == 1 and leaf not in ("deck", *FOUND) else ())),
    )

"""Walls by name: the office's list on the Inputs sheet, the one chosen on the first sheet, and the layers that count.

Layers typed in the rows of a leaf stand in place of the chosen wall's, cell by cell; with no wall chosen they are all
there is. Formulas that ask for a leaf take the layers that count.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.closed import closed, tell
from stillbook.templates.parts.examples import examples
from stillbook.templates.validation import typing_rule
from stillbook.workbook.job.inputs import InputSpec

LAYERS: Final = 3
"""Rows of a build-up."""

CHOSEN: Final = ("inner", "outer")
"""Leaves whose first layer a wall gives by its name."""

_ROWS: Final = 8
_USUAL: Final = 1
"""The place in the list of the wall that a new job starts with."""


def material(leaf: str, layer: int) -> str:
    """The name of the material that counts in a layer."""
    return f"{leaf}_board_{layer}" if leaf in CHOSEN else f"{leaf}_material_{layer}"


def count(leaf: str, layer: int) -> str:
    """The name of the number of sheets that counts in a layer."""
    return f"{leaf}_sheets_{layer}" if leaf in CHOSEN else f"{leaf}_count_{layer}"


def thickness(leaf: str, layer: int) -> str:
    """How thick all sheets of a layer that is there are together, as a formula."""
    typed = f"{leaf}_thickness_{layer}"
    return f"IF(N({typed})>0,{typed},STILL_BUILDUPTHICKNESS({material(leaf, layer)},units))*N({count(leaf, layer)})"


def counts(leaf: str) -> str:
    """The sheets of all layers of a leaf, as a formula."""
    return f"SUM({','.join(count(leaf, layer) for layer in range(1, LAYERS + 1))})"


def chosen(book: Book, label: str = "Walls and ceiling", *, example: str = "example_walls") -> InputSpec:
    """The wall chosen by its name; one that the list lacks is an error where its layers are asked for."""
    usual = examples(example, book.system)[_USUAL][0]
    return book.input("wall", label, "", usual, options="wall_names", optional=True).saying(
        "By its name in the office's list on the Inputs sheet. Blank for own layers, typed there; they also win over a name."
    )


def columns(book: Book, leaves: tuple[str, ...] = CHOSEN) -> list[InputSpec]:
    """What the list has of each wall: its name, and board and sheets of each leaf."""
    return [
        book.input("wall_names", "Wall", "text", optional=True).saying("Name of a wall that the office builds."),
        *(
            spec
            for leaf in leaves
            for spec in (
                book.input(f"wall_{leaf}", "Board", options="material_names", material=True, optional=True).saying("From the table, by its name."),
                book.input(f"wall_{leaf}_counts", "Sheets", "", None, 1, 10, whole=True, optional=True).saying("One on the other."),
            )
        ),
    ]


def ask(page: Page, leaves: tuple[str, ...] = CHOSEN, *, example: str = "example_walls", title: str = "Walls of the office, by name") -> None:
    """Write the office's list: of each wall its name, and board and sheets of each leaf; the first sheet offers the names."""
    book = page.book
    rows = [row[: 1 + 2 * len(leaves)] for row in examples(example, book.system)]
    rows += [(None,) * (1 + 2 * len(leaves))] * (_ROWS - len(rows))
    name, *boards = columns(book, leaves)
    with closed(page, title, "invented examples; the first sheet offers the names"):
        for number, leaf in enumerate(leaves):
            asked = [*([] if number else [name]), *boards[2 * number : 2 * number + 2]]
            page.head_row(("Wall", f"Board of the {leaf} leaf", "Sheets", "", ""), words=(0, 1))
            first = page.at
            for place, row in enumerate(rows, start=1):
                if number:
                    page.put(page.at, FIRST, f'=IF(INDEX(wall_names,{place})="","",INDEX(wall_names,{place}))', align=look.SHRUNK)
                values = row[:3] if not number else row[2 * number + 1 : 2 * number + 3]
                _boxes(page, [replace(spec, default=value) for spec, value in zip(asked, values, strict=True)])
            for offset, spec in enumerate(asked, start=FIRST + (number > 0)):
                name_column(page, spec, first, offset)


def _boxes(page: Page, entries: list[InputSpec]) -> None:
    """A row of boxes, the last of them that of the sheets."""
    first = FIRST + 3 - len(entries)
    for column, entry in enumerate(entries, start=first):
        words = entry.unit == "text" or entry.material
        page.box(page.at, column, entry.default, number_format=entry.number_format, align=look.SHRUNK_UNIT if words else look.BOXED_RIGHT)
    tell(page, page.at, *entries, first=first)
    page.sheet.row_dimensions[page.at].height = 17
    page.at += 1


def name_column(page: Page, spec: InputSpec, first: int, column: int) -> None:
    """Name a column of boxes down to the row above, each an input by its number, and limit what is typed there."""
    letter, last = get_column_letter(column), page.at - 1
    page.book.name(spec.name, page, first, column, last=f"${letter}${last}", comment=spec.comment(column=True))
    page.book.labels[spec.name] = (f"{spec.label}, by number", "")
    rule = typing_rule(spec, "1 to 10")
    rule.add(f"{letter}{first}:{letter}{last}")
    page.sheet.add_data_validation(rule)


def layers(leaf: str) -> list[tuple[str, str, str]]:
    """The layers that count: formulas of material, thickness and sheets of each."""
    at = "MATCH(wall,wall_names,0)"
    rows = []
    for layer in range(1, LAYERS + 1):
        own, thickness, sheets = (f"{leaf}_{part}_{layer}" for part in ("material", "thickness", "count"))
        named = counted = '""'
        if layer == 1:
            listed, number = f"INDEX(wall_{leaf},{at})", f"INDEX(wall_{leaf}_counts,{at})"
            named = f'IF(wall="","",IFERROR(IF({listed}="","",{listed}),wall))'
            counted = f'IF({material(leaf, 1)}="","",IFERROR(MAX(1,N({number})),1))'
        counted = f'IF({own}="",{counted},1)'
        rows.append((f'=IF({own}="",{named},{own})', f'=IF({thickness}="","",{thickness})', f'=IF({sheets}="",{counted},{sheets})'))
    return rows


def own(leaves: tuple[str, ...]) -> str:
    """How many layers of leaves are typed, as a formula."""
    return f"COUNTA({','.join(f'{leaf}_{part}_{layer}' for leaf in leaves for layer in range(1, LAYERS + 1) for part in ('material', 'count'))})"

"""Walls by name: the office's list on the Inputs sheet, the one chosen on the first sheet, and the layers that count.

Layers typed in the rows of a leaf stand in place of those of the chosen name, cell by cell; with none chosen they are all
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

FOUND: Final = ("wall_far", "wall_near", "ceiling_far", "ceiling_near")
"""Leaves that stand already, whose layers a construction as found gives by its name."""

NAMED: Final = (*CHOSEN, *FOUND)
"""Leaves that have own layers and a name beside them: what counts of both stands in cells of its own."""

_ROWS: Final = 8
_USUAL: Final = 1
"""The place in the list of the wall that a new job starts with."""


def material(leaf: str, layer: int) -> str:
    """The name of the material that counts in a layer."""
    return f"{leaf}_board_{layer}" if leaf in NAMED else f"{leaf}_material_{layer}"


def count(leaf: str, layer: int) -> str:
    """The name of the number of sheets that counts in a layer."""
    return f"{leaf}_sheets_{layer}" if leaf in NAMED else f"{leaf}_count_{layer}"


def thick(leaf: str, layer: int) -> str:
    """The name of the thickness of a sheet that counts in a layer, blank where it is the usual one."""
    return f"{leaf}_thick_{layer}" if leaf in FOUND else f"{leaf}_thickness_{layer}"


def thickness(leaf: str, layer: int) -> str:
    """How thick all sheets of a layer that is there are together, as a formula."""
    told = thick(leaf, layer)
    return f"IF(N({told})>0,{told},STILL_BUILDUPTHICKNESS({material(leaf, layer)},units))*N({count(leaf, layer)})"


def counts(leaf: str) -> str:
    """The sheets of all layers of a leaf, as a formula."""
    return f"SUM({','.join(count(leaf, layer) for layer in range(1, LAYERS + 1))})"


def stands(own: str, chosen: str) -> str:
    """Whether own layers count, the name that is chosen, or neither, in words; ``own`` counts what is typed."""
    return f'=IF({own}>0,"own layers",IF({chosen}="","none chosen","as chosen"))'


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


def name_column(page: Page, spec: InputSpec, first: int, column: int, limits: str = "1 to 10") -> None:
    """Name a column of boxes down to the row above, each an input by its number, and limit what is typed there."""
    letter, last = get_column_letter(column), page.at - 1
    page.book.name(spec.name, page, first, column, last=f"${letter}${last}", comment=spec.comment(column=True))
    page.book.labels[spec.name] = (f"{spec.label}, by number", "")
    rule = typing_rule(spec, limits)
    rule.add(f"{letter}{first}:{letter}{last}")
    page.sheet.add_data_validation(rule)


def layers(leaf: str) -> list[tuple[str, str, str]]:
    """The layers that count of a leaf of the wall chosen: formulas of material, thickness and sheets of each."""
    at = "MATCH(wall,wall_names,0)"
    first = (f"INDEX(wall_{leaf},{at})", "", f"INDEX(wall_{leaf}_counts,{at})")
    return [layer_that_counts(leaf, layer, "wall", first if layer == 1 else None, unknown="wall") for layer in range(1, LAYERS + 1)]


def layer_that_counts(leaf: str, layer: int, chosen: str, listed: tuple[str, str, str] | None, unknown: str = '""') -> tuple[str, str, str]:
    """Formulas of material, thickness and sheets of a layer: what is typed, and else what the list says of what is chosen.

    Args:
        leaf: The leaf.
        layer: Its number.
        chosen: The input that chooses by a name.
        listed: Material, thickness and sheets in the list, as formulas, the thickness empty where the list has none;
            None where the list says nothing of the layer.
        unknown: What stands for the material where the list lacks the name: the name itself is an error that says so.
    """
    own, thickness, sheets = (f"{leaf}_{part}_{layer}" for part in ("material", "thickness", "count"))
    named = counted = deep = '""'
    if listed:
        board, told, number = listed
        named = f'IF({chosen}="","",IFERROR(IF({board}="","",{board}),{unknown}))'
        counted = f'IF({material(leaf, layer)}="","",IFERROR(MAX(1,N({number})),1))'
        deep = f'IF(OR({own}<>"",{chosen}=""),"",IFERROR(IF({told}="","",{told}),""))' if told else deep
    counted = f'IF({own}="",{counted},1)'
    return f'=IF({own}="",{named},{own})', f'=IF({thickness}="",{deep},{thickness})', f'=IF({sheets}="",{counted},{sheets})'


def own(leaves: tuple[str, ...]) -> str:
    """How many layers of leaves are typed, as a formula."""
    return f"COUNTA({','.join(f'{leaf}_{part}_{layer}' for leaf in leaves for layer in range(1, LAYERS + 1) for part in ('material', 'count'))})"

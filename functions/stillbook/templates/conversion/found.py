"""Constructions as found, by name: the office's list on the Inputs sheet, those chosen for walls and ceiling, and what counts.

What is typed of a leaf or of its cavity stands in place of what the list says, cell by cell; without a name it is all
there is, and a leaf on the room's side of which nothing is said is not there: the surface is one leaf.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from stillbook.quantities import LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import walls
from stillbook.templates.parts.bands import counting
from stillbook.templates.parts.closed import closed, tell
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.said import Said
from stillbook.templates.parts.walls import LAYERS, count, layer_that_counts, material, name_column
from stillbook.templates.parts.words import words_of
from stillbook.workbook.job.inputs import InputSpec

PLACES: Final = {"wall": "Walls", "ceiling": "Ceiling"}
"""What is chosen by a name each: all four walls are one construction."""

_USUAL: Final = {"wall": "Wood studs, one board each side", "ceiling": "Timber floor, ceiling on channels"}
"""What a new job starts with."""

_EXAMPLES: Final = "example_found"
_ROWS: Final = 16
_CELLS: Final = 3
"""Of a layer in the list: material, thickness, sheets."""

_LEAVES: Final = (("far", "Far leaf", LAYERS), ("near", "Room-side leaf", 1))
"""The leaves in the list: the name, what it is, and how many layers the list has of it."""

_CAVITY: Final = ("framing", "gap", "spacing", "fill")
"""What the list has of a cavity, in the order of its columns."""

_LACKS: Final = {"gap": 'STILL_RESONANCE({0}_far_layers,{0}_near_layers,"",{0}_found_fill,units)', "framing": '"wood studs"'}
"""What stands for a cavity of which nothing is said: the depth is asked for by the formula that cannot do without, and
the framing is what the formulas take for a blank."""


def chosen(book: Book) -> list[InputSpec]:
    """The constructions chosen; one that the list lacks is an error where its layers are asked for."""
    return [
        book.input(f"{place}_found", f"{label} as found", "", _USUAL[place], options="found_names", optional=True).saying(
            "By its name in the office's list on the Inputs sheet. Blank for own layers, typed there; they also win over a name."
        )
        for place, label in PLACES.items()
    ]


def cavities(book: Book) -> list[InputSpec]:
    """Own cavities behind the old boards."""
    return [
        replace(entry, name=f"{place}_{part}", label=f"{place.capitalize()}, {entry.label}", optional=True)
        for place in PLACES
        for part, entry in _cavity(book).items()
    ]


def _cavity(book: Book) -> dict[str, InputSpec]:
    """What there is to say of a cavity: its depth, wool, framing and spacing."""
    return {
        "gap": book.input("gap", "cavity as found", LENGTH, None, (0.1, 3), (48, 1200), look.TWO).saying(
            "Between its two leaves. No part where it is one leaf. Blank is as the name says."
        ),
        "fill": book.input("fill", "cavity holds wool", choices=("empty", "filled")).saying("Blank is as the name says, and else empty."),
        "framing": book.input("framing", "framing as found", choices=words_of("WALLTL", "framing")).saying(
            "What joins its leaves. Blank: as named, else wood."
        ),
        "spacing": book.input("spacing", "framing spacing", LENGTH, None, (8, 200), (48, 1200)).saying(
            "Centre to centre. Blank is as the name says, and else as is usual."
        ),
    }


def ask(page: Page) -> None:
    """Write the office's list: of each construction its name, its leaves layer by layer, and its cavity."""
    book = page.book
    rows = [list(row) for row in examples(_EXAMPLES, book.system)]
    rows += [[None] * len(rows[0])] * (_ROWS - len(rows))
    place = 1
    with closed(page, "Constructions as found, by name", "invented examples; the first sheet offers the names"):
        for leaf, title, layers in _LEAVES:
            for layer in range(1, layers + 1):
                said = f"{title}, layer {layer}" if layers > 1 else title
                name = book.input("found_names", "Construction", "text", optional=True).saying("Name of a construction that is found in buildings.")
                cells = _layer(book, f"found_{leaf}", said, layer)
                _block(page, ("Construction", said, f"Thickness, {book.unit(LENGTH)}", "Sheets"), [*([name] if place == 1 else []), *cells], rows, place)
                place += _CELLS
        known = _cavity(book)
        cells = [replace(known[part], name=f"found_{part}", label=f"Its {known[part].label}", help="", optional=True) for part in _CAVITY]
        small = book.unit(LENGTH)
        _block(page, ("Construction", "Framing", f"Cavity, {small}", f"Spacing, {small}", "Wool in it"), cells, rows, place)


def _layer(book: Book, leaf: str, label: str, layer: int) -> list[InputSpec]:
    """What the list has of a layer."""
    return [
        book.input(f"{leaf}_material_{layer}", label, options="layer_materials", material=True, optional=True).saying(
            "From the table, by its name; one without a size needs a thickness."
        ),
        book.input(f"{leaf}_thickness_{layer}", f"{label}, thickness", LENGTH, None, (0.01, 0.2), (24, 600), look.GENERAL, optional=True).saying(
            "Only where it is not the usual one."
        ),
        book.input(f"{leaf}_count_{layer}", f"{label}, sheets", "", None, 1, 10, whole=True, optional=True).saying("One on the other."),
    ]


def _block(page: Page, titles: tuple[str, ...], specs: list[InputSpec], rows: list[list[str | float | None]], place: int) -> None:
    """Some columns of the list, for each construction beside its name, which is typed in the first of them."""
    named = specs[0].name == "found_names"
    page.head_row((*titles, *[""] * (5 - len(titles))), words=(0, 1, 4))
    first, column = page.at, FIRST if named else FIRST + 1
    for number, row in enumerate(rows, start=1):
        if not named:
            page.put(page.at, FIRST, f'=IF(INDEX(found_names,{number})="","",INDEX(found_names,{number}))', align=look.SHRUNK)
        values = row[0 if named else place : place + len(specs) - named]
        entries = [replace(spec, default=value) for spec, value in zip(specs, values, strict=True)]
        for offset, entry in enumerate(entries, start=column):
            words = entry.unit == "text" or entry.material or entry.choices
            page.box(page.at, offset, entry.default, number_format=entry.number_format, align=look.SHRUNK_UNIT if words else look.BOXED_RIGHT)
        tell(page, page.at, *entries, first=column)
        page.sheet.row_dimensions[page.at].height = 17
        page.at += 1
    for offset, spec in enumerate(specs, start=column):
        name_column(page, spec, first, offset, f"{spec.least:g} to {spec.most:g} {spec.unit}" if spec.least is not None and spec.most is not None else "")


def count_leaves(page: Page) -> None:
    """Write the layers and cavities that count, each cell named, below what is printed."""
    for place, label in PLACES.items():
        at = f"MATCH({place}_found,found_names,0)"
        for side, title, layers in _LEAVES:
            leaf = f"{place}_{side}"
            rows = []
            for layer in range(1, LAYERS + 1):
                board, thick, sheets = (f"INDEX(found_{side}_{part}_{layer},{at})" for part in ("material", "thickness", "count"))
                unknown = f"{place}_found" if side == "far" and layer == 1 else '""'
                rows.append(layer_that_counts(leaf, layer, f"{place}_found", (board, thick, sheets) if layer <= layers else None, unknown))
            counting(page, leaf, f"{label} as found, {title.lower()}", rows)
        page.put(page.at, FIRST, f"{label} as found: framing, cavity, spacing, wool", font=look.QUIET)
        page.at += 1
        for offset, part in enumerate(_CAVITY):
            listed = f"INDEX(found_{part},{at})"
            told = f'IF({place}_found="","",IFERROR(IF({listed}="","",{listed}),""))'
            needed = f'IF(AND({told}="",{material(f"{place}_near", 1)}<>""),{_LACKS[part].format(place)},{told})' if part in _LACKS else told
            page.put(page.at, FIRST + offset, f'=IF({place}_{part}="",{needed},{place}_{part})', font=look.SMALL)
            page.name(f"{place}_found_{part}", page.at, FIRST + offset)
        page.at += 1
        for offset, (name, words) in enumerate(_stands(place)):
            page.put(page.at, FIRST + offset, words, font=look.SMALL).alignment = look.UNWRAPPED
            page.name(name, page.at, FIRST + offset)
        page.at += 1


def _stands(place: str) -> tuple[tuple[str, str], tuple[str, str]]:
    """Whether own layers count, the construction chosen, or neither; and what it is called: names and formulas of words."""
    leaves = [f"{place}_{side}" for side, *_ in _LEAVES]
    more = [f"{leaf}_thickness_{layer}" for leaf in leaves for layer in range(1, LAYERS + 1)] + [f"{place}_{part}" for part in _CAVITY]
    own = f"{walls.own(tuple(leaves))}+COUNTA({','.join(more)})"
    state, there = f"{place}_found_stands", f'{material(f"{place}_far", 1)}=""'
    return (
        (state, f'=IF({own}>0,"own layers",IF({there},"none chosen","as chosen"))'),
        (called(place), f'=IF({there},"not told",IF({state}="own layers","layers told one by one",{place}_found))'),
    )


def state(place: str) -> str:
    """The cell that says whether own layers count, the construction chosen, or neither."""
    return f"={_stands(place)[0][0]}"


def called(place: str) -> str:
    """The cell that says what the construction as found is called."""
    return f"{place}_found_called"


def layers(book: Book, place: str, there: str) -> list[Said]:
    """The construction as contractors read it: each layer of its far side, and its room side with the cavity."""

    def side(name: str, what: str, layer: int, more: str = "") -> Said:
        leaf = f"{place}_{name}"
        words = f'"– {what}: "&{count(leaf, layer)}&" × "&{material(leaf, layer)}{_thick(book, leaf, layer)}{more}'
        return Said(f'AND({there},{material(leaf, layer)}<>"")', words)

    cavity = f'", cavity "&{place}_found_gap&" {book.unit(LENGTH)}, "&{place}_found_framing&IF({place}_found_fill="filled",", wool","")'
    far = [side("far", "far side", layer) for layer in range(1, LAYERS + 1)]
    return [Said(there, f'"{PLACES[place]} as found, "&{called(place)}&":"'), *far, side("near", "room side", 1, f"&{cavity}")]


def _thick(book: Book, leaf: str, layer: int) -> str:
    """The thickness of a layer's sheet where it is not the usual one, in words."""
    told = walls.thick(leaf, layer)
    return f'&IF(N({told})>0,", "&TEXT({told},"{book.pick("0.0##", "0")}")&" {book.unit(LENGTH)}","")'

"""Parts of a sheet of losses by band: narrow columns, one a band, then the ratings of the row."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from stillbook.quantities import AREA, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import walls
from stillbook.trade.doors.arrangement import MOST_PAIR_GAIN, SLAB
from stillbook.trade.physics.sound import STC_BANDS

THIRDS: Final = tuple(map(int, STC_BANDS.centres))
"""Middles of the third octaves of an STC [Hz]."""

ROW: Final = 13.2
"""Height of a row of bands."""


def cells(first: int, last: int, row: int) -> str:
    """The cells of a row from one column to another."""
    return f"{get_column_letter(first)}{row}:{get_column_letter(last)}{row}"


def in_part(cells: str, count: int) -> str:
    """Whether some of so many cells are typed and not all, as a condition: what looks at them waits for the others."""
    return f"AND(COUNTA({cells})>0,COUNT({cells})<{count})"


def given(cells: str, count: int) -> str:
    """A formula that is 1 where so many cells are all typed, -1 where some are, and 0 where none is."""
    return f"=IF(COUNT({cells})={count},1,IF({in_part(cells, count)},-1,0))"


GIVEN: Final = '"used";"waits";""'
"""How that number is shown."""


def head_row(page: Page, frequencies: Sequence[int], after: Sequence[str], before: Sequence[str] = ("Hz",), *, words: Sequence[int] = (0,)) -> int:
    """The heading row, its frequencies written as numbers; gives its row number."""
    page.head_row((*before, *map(str, frequencies), *after), words=words)
    row = page.at - 1
    for column, hz in enumerate(frequencies, start=FIRST + len(before)):
        page.sheet.cell(row, column).value = hz
    return row


def band_row(
    page: Page,
    frequencies: Sequence[int],
    label: str,
    formula: str,
    ratings: Sequence[str | None],
    *,
    strong: bool = False,
    number_format: str = look.WHOLE,
    font: Font = look.SMALL,
) -> int:
    """A row of bands in a font of their own, and its ratings; gives its row number.

    In the formula ``{n}`` is the band's number, ``{c}`` its column, ``{hz}`` its frequency, ``{o}`` the number of its octave
    counted from 63 Hz. In a rating ``{r}`` is the row and ``{s}`` its bands.
    """
    row = page.at
    said = look.STRONG if strong else look.BODY
    page.put(row, FIRST, label, font=said, border=look.ROW).alignment = look.UNWRAPPED
    for number, hz in enumerate(frequencies, start=1):
        column = get_column_letter(FIRST + number)
        of_band = formula.format(n=number, c=column, hz=hz, r=row, o=1 + round(math.log2(hz / 63)))
        page.put(row, FIRST + number, of_band, font=font, number_format=number_format, border=look.ROW)
    spectrum = cells(FIRST + 1, FIRST + len(frequencies), row)
    for offset, rating in enumerate(ratings, start=len(frequencies) + 1):
        rated = rating.format(s=spectrum, r=row) if rating else None
        page.put(row, FIRST + offset, rated, font=said, number_format=look.WHOLE, border=look.ROW)
    page.sheet.row_dimensions[row].height = ROW
    page.at += 1
    return row


def tested(page: Page, frequencies: Sequence[int], room: int, area: str, thirds: str) -> None:
    """The level difference that a test of the finished room would find, its class, NIC, and DnT,w in the last column.

    Args:
        page: The page.
        frequencies: The bands of its rows.
        room: The row of the loss of all round the room.
        area: What has that loss.
        thirds: The columns of 125 to 4000 Hz in the row ``{r}``.
    """
    difference = f'=STILL_NOISEREDUCTION({{c}}{room},{area},INDEX(seat_absorption,1,{{o}}),"in the room",units)'
    row = band_row(page, frequencies, "Outside less inside, in a test", difference, (f"=STILL_STCRATING({thirds})",))
    page.sheet.cell(row, FIRST + len(frequencies) + 1).number_format = '"NIC "0'
    told = page.book.result_comment("room_nic", "Outside less inside, in a test, NIC", "")
    page.book.name("room_nic", page, row, FIRST + len(frequencies) + 1, comment=told)
    page.rule(row, first=FIRST + len(frequencies) + 2)
    page.put(row, page.last_column, "=room_dntw", font=look.QUIET, number_format='"DnT,w "0', border=look.ROW).alignment = look.RIGHT


def laboratory_row(page: Page, label: str, bands: int, font: Font = look.SMALL, number_format: str = look.WHOLE, first: int = FIRST + 1) -> int:
    """A row of boxes for a laboratory's figures, from a column on; gives its row number."""
    row = page.at
    page.put(row, FIRST, label, border=look.ROW)
    for column in range(first, first + bands):
        page.box(row, column, number_format=number_format, font=font, align=look.RIGHT)
    page.sheet.row_dimensions[row].height = ROW
    page.at += 1
    return row


def results(page: Page, *entries: ResultRow) -> None:
    """Results over the narrow columns: value over three of them, unit over two, note over the rest."""
    for entry in entries:
        row, font = page.at, look.STRONG if entry.key else look.BODY
        page.rule(row)
        page.put(row, FIRST, entry.label, font=font, border=look.ROW)
        page.put(row, FIRST + 1, entry.formula, font=font, number_format=look.WHOLE, border=look.ROW).alignment = look.UNIT
        page.put(row, FIRST + 4, entry.unit, font=look.QUIET, align=look.UNIT, border=look.ROW)
        page.put(row, FIRST + 6, entry.note or None, font=look.QUIET, align=look.UNWRAPPED, border=look.ROW)
        page.merge(row, FIRST + 1, FIRST + 3)
        page.merge(row, FIRST + 4, FIRST + 5)
        if entry.name:
            comment = page.book.result_comment(entry.name, entry.label, entry.unit, entry.best) if entry.key else ""
            page.book.name(entry.name, page, row, FIRST + 1, comment=comment)
        page.sheet.row_dimensions[row].height = ROW
        page.at += 1


LOW_END: Final = "ROUND(room_stc-stc_range,0)"
"""The low end of the range of the rating."""

FROM_TO: Final = ResultRow("Room, STC from to", '=TEXT(room_stc-stc_range,"0")&" to "&TEXT(room_stc+stc_range,"0")', "", "stc_from_to", key=True).noting(
    f'=IF({LOW_END}<stc_target,"The low end of the range, "&{LOW_END}&", is under the target of "&stc_target&". ","")&"Say the range, not the bare number."'
)
"""The rating of the room with its range."""


WEAKEST: Final = "The one that holds the rating down: the least STC, each related to the whole area."
"""How the weakest element is found."""


def _build_up(page: Page, title: str, name: str, rows: Sequence[Sequence[str]]) -> None:
    """A build-up made by formulas, as a named range of material, thickness and count."""
    page.put(page.at, FIRST, title, font=look.QUIET)
    page.at += 1
    first = page.at
    for row in rows:
        for offset, value in enumerate(row):
            cell = page.put(page.at, FIRST + offset, value, font=look.SMALL, number_format=look.GENERAL)
            cell.alignment = look.LEFT if offset == 0 else look.RIGHT
        page.sheet.cell(page.at, FIRST).number_format = look.TWO
        page.at += 1
    page.name(name, first, FIRST, page.at - 1, FIRST + len(rows[0]) - 1)


def counting(page: Page, leaf: str, title: str, rows: Sequence[Sequence[str]]) -> None:
    """The layers that count of a leaf which a name may give, each cell named."""
    first = page.at + 1
    _build_up(page, title, f"{leaf}_layers", rows)
    for layer in range(1, walls.LAYERS + 1):
        page.name(walls.material(leaf, layer), first + layer - 1, FIRST)
        if leaf in walls.FOUND:
            page.name(walls.thick(leaf, layer), first + layer - 1, FIRST + 1)
        page.name(walls.count(leaf, layer), first + layer - 1, FIRST + 2)


def build_ups(page: Page, leaves: Mapping[str, str]) -> None:
    """The build-ups used here, with one layer more of each leaf by its title."""
    page.skip()
    page.heading("Build-ups used here", "by the wall chosen and own layers: material, thickness where it is not the usual, sheets")
    for leaf, title in leaves.items():
        counting(page, leaf, title, walls.layers(leaf))
        _build_up(page, f"{title}, one layer more", f"{leaf}_plus_layers", _one_layer_more(leaf))
    _door_build_ups(page)


def _one_layer_more(leaf: str) -> list[tuple[str, str, str]]:
    """The rows of a leaf with one sheet more of its first layer."""
    rows = []
    for layer in range(1, walls.LAYERS + 1):
        material, thickness, count = walls.material(leaf, layer), f"{leaf}_thickness_{layer}", walls.count(leaf, layer)
        rows.append((f'=IF({material}="","",{material})', f'=IF({thickness}="","",{thickness})', f'=IF({material}="","",{count}{"+1" if layer == 1 else ""})'))
    return rows


def _door_build_ups(page: Page) -> None:
    """The door leaves as built, of the pair and of one heavy door."""
    for kind, title in (("pair", "Door of the pair"), ("single", "One heavy door")):
        bare = f"{kind}_makeup_count=0"
        rows = [
            (SLAB, "=slab_thickness", "=1", "=slab_mass/door_area"),
            (f'=IF({bare},"",{kind}_makeup_material)', '=""', f'=IF({bare},"",{kind}_makeup_count)', '=""'),
        ]
        _build_up(page, title, f"{kind}_door_layers", rows)


def door_loss(book: Book, sealed: str, bands: str = '"STC"', number: str = "{n}", *, other: bool = False) -> str:
    """Loss of the doors, two in a row with the lined space between them or one, in the band of a number.

    With ``other`` it is that of the arrangement the estimate does not have.
    """
    one = f"STILL_DOORTL({{0}},door_width,door_height,door_gap,{sealed},{bands},units)"
    pair, single = one.replace("{0}", "pair_door_layers"), one.replace("{0}", "single_door_layers")
    between = f"2*(door_width+door_height)*cavity*reveal_absorption/{small_areas(book)}"
    lock = f"STILL_SOUNDLOCKTL({pair},{pair},door_area,{between},units)"
    both = f"MIN(INDEX({lock},1,{number}),INDEX({pair},1,{number})+{MOST_PAIR_GAIN:.0f})"
    return f'IF(door_arrangement{"<>" if other else "="}"pair",{both},INDEX({single},1,{number}))'


def small_areas(book: Book) -> str:
    """Small areas in a large one: square inches in a square foot, square millimetres in a square metre."""
    return book.units_in(SMALL_AREA, AREA)


def through(spectrum: str, area: str) -> str:
    """Sound let through an area, all bands together."""
    return f"SUMPRODUCT(10^(-{spectrum}/10))*{area}"


@dataclass(frozen=True)
class Working:
    """A quiet figure that other cells look at by its name: a share of the sound let through, where no other format is given."""

    name: str
    formula: str
    number_format: str = "0.0E+00"


def workings(book: Book, page: Page, label: str, figures: Sequence[Working]) -> None:
    """A row of quiet figures, each over two columns."""
    page.put(page.at, FIRST, label, font=look.QUIET)
    page.sheet.row_dimensions[page.at].height = ROW
    for column, figure in zip(range(FIRST + 1, page.last_column, 3), figures, strict=False):
        page.put(page.at, column, figure.formula, font=look.QUIET, number_format=figure.number_format, align=look.UNWRAPPED)
        page.merge(page.at, column, column + 1)
        book.name(figure.name, page, page.at, column)
    page.at += 1

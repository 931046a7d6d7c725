"""Isolation of the booth: transmission loss by band of shell and doors together, ratings with their range, ways to better it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.calls import nth
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import bands
from stillbook.templates.parts.bands import THIRDS, Working
from stillbook.templates.parts.quiet_room import heard, privacy, sheets, tested
from stillbook.templates.parts.quiet_room.loss_graph import Graph
from stillbook.templates.parts.quiet_room.upgrades import BETTER_SEALED, BETTER_SEALS, OTHER_DOORS, boards_cost, fitted, price

RATING: Final = FIRST + len(THIRDS) + 1
"""Column of the rating of a row."""

BESIDE: Final = RATING - 6
"""Column in which the ways to do better begin, beside the graph."""

_GRAPH: Final = 12
"""Rows of the graph."""

_LOWEST: Final = 100
"""Lowest frequency that speech and most practice rooms need isolated [Hz]; the resonance should lie below it."""


@dataclass(frozen=True)
class Change:
    """A way to better the room: what is changed, and what it costs in direct cost."""

    text: str
    inner: str = "inner_layers"
    outer: str = "outer_layers"
    fill: str = "cavity_fill"
    doors: str = ""
    """The name of the row of the doors' loss, where it is not that of the estimate."""
    cost: str = "0"


BETTER_SEALED_LOSS: Final = "better_sealed_doors"
OTHER_DOORS_LOSS: Final = "doors_otherwise"
"""Names of the rows of the doors' loss with such seals, and in the arrangement that the estimate does not have."""


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Isolation",
        "Predicted transmission loss by third octave, door and cable holes included. A prediction, with its range; a built room may do less.",
        (29.9, *[5.6] * len(THIRDS), 6.5, 9.6),
        scale=71,
    )
    _results(page)
    rows = _bands(book, page)
    drawn_at = _room_for_graph(page)
    heard.write(book, page, _whole(book, "octave", "{n}"), _AROUND, _WEAKEST)
    printed = page.at
    privacy.write(book, page, _whole(book, "all", privacy.NUMBER), _AROUND, heard.next_absorption(book), _WEAKEST)
    tested.write(book, page)
    bands.build_ups(page, {"inner": "Inner leaf", "outer": "Outer leaf"})
    _doors_otherwise(book, page)
    _changes(book, page, rows["doors"], drawn_at)
    page.finish(printed)
    page.skip()
    _graph(rows).write(page, drawn_at)
    return page


def _spectrum(row: int) -> str:
    return bands.cells(FIRST + 1, RATING - 1, row)


def _results(page: Page) -> None:
    reach = 'STILL_RATINGUNCERTAINTY("{0}")'
    page.heading("Ratings", "about 95 of 100 measured walls lie within the range")
    kind = f'IF(door_arrangement="pair",{reach.format("pair of doors")},{reach.format("door")})'
    weakest_range = f'IF(lab_used=1,2,IF(room_weakest="doors",{kind},{reach.format("separate frames")}))'
    shell, doors = "wall_stc-10*LOG10(outer_wall_area)", "door_stc-10*LOG10(door_area)"
    holes = f"-10*LOG10(MAX(0.000000001,holes_leak/{bands.small_areas(page.book)}))"
    weakest = f'IF(AND({doors}<={shell},{doors}<={holes}),"doors",IF({holes}<={shell},"cable holes","shell and flanking"))'
    bands.results(
        page,
        ResultRow("Shell alone, STC", "=wall_stc").noting("Both leaves, cavity and frames; flanking included."),
        ResultRow("Doors alone, STC", "=door_stc").noting("With the gaps at their edges."),
        ResultRow("Room, STC", "=room_stc_cell", "", "room_stc", key=True, best="most").noting(f'="Shell, doors and cable holes together."&{tested.SAID}'),
        ResultRow("Range either way", f"={weakest_range}", "dB", "stc_range").noting("Of the weakest element; a laboratory figure narrows it."),
        bands.FROM_TO,
        ResultRow("Weakest element", f"={weakest}", "", "room_weakest", key=True).noting(bands.WEAKEST),
        ResultRow("Resonance of the leaves", "=STILL_RESONANCE(inner_layers,outer_layers,cavity,cavity_fill,units)", "Hz", "leaf_resonance").noting(
            "Below it the cavity does not help."
        ),
        ResultRow("Dip of the inner leaf", '=STILL_COINCIDENCE(inner_layers,"loose",units)', "Hz", "leaf_dip").noting(
            "Coincidence; two unlike leaves dip at different places."
        ),
    )
    page.skip()


def _band_row(page: Page, label: str, formula: str, rating: str | None, *, strong: bool = False) -> int:
    """A row of the sixteen bands and its rating."""
    return bands.band_row(page, THIRDS, label, formula, (rating,), strong=strong)


def _wall(change: Change) -> str:
    return f'STILL_WALLTL({change.inner},{change.outer},cavity,{change.fill},"separate frames","","STC",outer_wall_area,units)'


def _flanked(book: Book, losses: str) -> str:
    """Losses of the shell with what flanks it, as a call that gives a row."""
    return f"STILL_LEAKEDTL({losses},outer_wall_area,outer_wall_area*{bands.small_areas(book)}*10^(-flanking_limit/10),0,units)"


STC = "=STILL_STCRATING({s})"


def _bands(book: Book, page: Page) -> dict[str, int]:
    boxed = "write a laboratory's figures in the boxed row to use them instead of the prediction"
    page.heading("Transmission loss by third octave, dB", boxed)
    head = bands.head_row(page, THIRDS, ("STC", book.pick("Area, ft²", "Area, m²")))
    plain = Change("as estimated")
    rows = {"head": head}
    rows["predicted"] = _band_row(page, "Shell, predicted", f"=MIN({nth(_wall(plain))},99)", STC)
    rows["lab"] = bands.laboratory_row(page, "Shell, laboratory figure", len(THIRDS))
    lab = _spectrum(rows["lab"])
    rating = f'=IF(COUNT({lab})=16,STILL_STCRATING({lab}),IF({bands.in_part(lab, 16)},"waits",""))'
    page.put(rows["lab"], RATING, rating, number_format=look.WHOLE, border=look.ROW)
    used = f"COUNT(${get_column_letter(FIRST + 1)}${rows['lab']}:${get_column_letter(RATING - 1)}${rows['lab']})=16"
    measured, predicted = (nth(_flanked(book, _spectrum(rows[key]))) for key in ("lab", "predicted"))
    rows["wall"] = _band_row(page, "Shell and what flanks it", f"=IF({used},{measured},{predicted})", STC)
    rows["doors"] = _band_row(page, "Doors, with their gaps", "=" + bands.door_loss(book, "seal_share"), STC)
    areas = f"${get_column_letter(RATING + 1)}${rows['wall']}:${get_column_letter(RATING + 1)}${rows['doors']}"
    rows["both"] = _band_row(page, "Shell and doors", f"=STILL_COMPOSITETL({areas},{{c}}{rows['wall']}:{{c}}{rows['doors']},units)", STC)
    leaked = f"STILL_LEAKEDTL({_spectrum(rows['both'])},outer_wall_area+door_area,holes_leak,0,units)"
    rows["room"] = _band_row(page, "Room: shell, doors, cable holes", f"=IF(holes_leak=0,{{c}}{rows['both']},{nth(leaked)})", STC, strong=True)
    contour = f"STILL_STCCONTOUR({get_column_letter(RATING)}{rows['room']})"
    rows["contour"] = _band_row(page, "STC contour", f"={nth(contour)}", None)
    below = _band_row(page, "Below the contour, and the sum", f"=MAX(0,{{c}}{rows['contour']}-ROUND({{c}}{rows['room']},0))", "=SUM({s})")
    page.put(below, RATING, page.sheet.cell(below, RATING).value, font=look.QUIET, number_format='"sum "0', border=look.ROW)
    bands.tested(page, THIRDS, rows["room"], "outer_wall_area+door_area", "{s}")
    for key, area in (("wall", "=outer_wall_area"), ("doors", "=door_area")):
        page.put(rows[key], RATING + 1, area, font=look.QUIET, number_format=look.ONE)
    for name, row in (("wall_stc", "wall"), ("door_stc", "doors"), ("room_stc_cell", "room")):
        book.name(name, page, rows[row], RATING)
    bands.workings(
        book,
        page,
        "Workings: shell, doors, holes",
        (
            Working("wall_share", "=" + bands.through(_spectrum(rows["wall"]), "outer_wall_area")),
            Working("doors_share", "=" + bands.through(_spectrum(rows["doors"]), "door_area")),
            Working("holes_share", f"=16*holes_leak/{bands.small_areas(book)}"),
            Working("lab_used", bands.given(lab, len(THIRDS)), look.WHOLE),
        ),
    )
    page.note(
        "Shell: outer walls' area. Holes of both leaves are taken as if they lay in line. "
        "Pair of doors: no more than 15 dB above one of them. In a test: level difference by the absorption inside, rated as ASTM E336 "
        "and ISO 16283-1 rate it; it is what a finished room can be held to. Workings: area times the share let through."
    )
    return rows


def _room_for_graph(page: Page) -> int:
    """Leave rows under two headings, for the graph and beside it for the ways to do better; gives the first of them."""
    page.skip()
    page.heading("Transmission loss against the contour of its rating")
    page.put(page.at - 1, BESIDE, "What it would take to do better", font=look.HEADING, border=look.UNDER_HEADING).alignment = look.UNWRAPPED
    row = page.at
    page.clear_right_of(RATING + 1, row, row + _GRAPH - 1)
    page.skip(_GRAPH)
    return row


def _graph(rows: dict[str, int]) -> Graph:
    return Graph(
        "loss",
        "Lines of transmission loss by third octave: the whole room with its range, its shell, its doors, and the contour of its rating, hatched where "
        "the room falls short of it. The table of bands on this sheet holds the figures.",
        rows["head"],
        (FIRST + 1, RATING - 1),
        ((rows["room"], "room"), (rows["wall"], "shell"), (rows["doors"], "doors")),
        rows["contour"],
        "stc_range",
        (16.2, 6.2),
    )


def _changes(book: Book, page: Page, doors: int, told: int) -> None:
    """The ways to better the room: their losses here, below what is printed, and what they come to from the row ``told`` on.

    ``doors`` is the row of the doors as estimated.
    """
    page.skip()
    page.heading("Losses of the ways to do better", "loss of the whole room by third octave, dB")
    bands.head_row(page, THIRDS, ("STC", ""))
    inner = Change("One layer more, inner leaf", inner="inner_plus_layers", cost=boards_cost("inner", sheets.on_room("room", "1")))
    both = replace(
        inner, text="One layer more, both leaves", outer="outer_plus_layers", cost=f"{inner.cost}+{boards_cost('outer', sheets.on_room('outside', '1'))}"
    )
    changes = (
        Change("As estimated"),
        inner,
        both,
        Change("Cavity filled", fill='"filled"'),
        Change("Cavity empty", fill='"empty"', cost=_wool(book)),
        Change("Seals that close half the gap left", doors=BETTER_SEALED_LOSS, cost=BETTER_SEALS),
        Change("Other door arrangement", doors=OTHER_DOORS_LOSS, cost=OTHER_DOORS),
        replace(both, text="All of these, cavity filled", fill='"filled"', doors=BETTER_SEALED_LOSS, cost=f"{both.cost}+{BETTER_SEALS}"),
    )
    small = bands.small_areas(book)
    around = "outer_wall_area+door_area"
    head = ("Change, and its price before tax", "STC", "Price")
    for column, text in zip((BESIDE, RATING, RATING + 1), head, strict=True):
        page.put(told, column, text, font=look.STRONG, align=look.UNWRAPPED if column == BESIDE else look.HEAD_RIGHT)
    page.rule(told, look.HEAD_ROW, first=BESIDE)
    for place, change in enumerate(changes, start=told + 1):
        with_doors = f"STILL_LEAKEDTL({_flanked(book, _wall(change))},{around},door_area*{small},{change.doors or _spectrum(doors)},units)"
        row = _band_row(page, change.text, "=" + nth(f"STILL_LEAKEDTL({with_doors},{around},holes_leak,0,units)"), STC)
        if change.doors == OTHER_DOORS_LOSS:
            book.name("other_doors_stc", page, row, RATING)
        page.rule(place, first=BESIDE)
        page.put(place, BESIDE, change.text, font=look.SMALL, border=look.ROW).alignment = look.UNWRAPPED
        page.put(place, RATING, f"={get_column_letter(RATING)}{row}", number_format=look.WHOLE, border=look.ROW)
        page.put(place, RATING + 1, price(change.cost), number_format="+#,##0;-#,##0;0", border=look.ROW)
    last = told + len(changes) + 1
    page.put(last, BESIDE, "Boards and seals at the Unit costs, with labour, overhead, contingency and margin.", font=look.QUIET, align=look.TOP_LEFT)
    page.sheet.merge_cells(start_row=last, start_column=BESIDE, end_row=last + 1, end_column=RATING + 1)


def _doors_otherwise(book: Book, page: Page) -> None:
    """The losses of the doors that the ways to better the room ask for."""
    page.skip()
    page.heading("Doors used here", "loss by third octave, dB")
    bands.head_row(page, THIRDS, ("", ""))
    for name, label, formula in (
        (BETTER_SEALED_LOSS, "With better seals", bands.door_loss(book, BETTER_SEALED)),
        (OTHER_DOORS_LOSS, "In the other arrangement", bands.door_loss(book, "seal_share", other=True)),
    ):
        row = bands.band_row(page, THIRDS, label, f"={formula}", ())
        page.name(name, row, FIRST + 1, last_column=RATING - 1)


def _wool(book: Book) -> str:
    """Direct cost saved by leaving the cavity empty."""
    at = 'MATCH("WOOL",price_codes,0)'
    packs = f"STILL_PACKS(inner_wall_area+floor_area+outer_wall_area+footprint,{book.pick(*sheets.WOOL_PACK)},board_waste)"
    return f'-IF(cavity_fill="filled",{packs}*{fitted(at)},0)'


def _whole(book: Book, of: str, number: str) -> str:
    """Loss of all around the room in one of the bands ``of``, by its number among them."""
    wall = f'INDEX(STILL_WALLTL(inner_layers,outer_layers,cavity,cavity_fill,"separate frames","","{of}",outer_wall_area,units),1,{number})'
    doors = bands.door_loss(book, "seal_share", f'"{of}"', number)
    holes = f"holes_leak/{bands.small_areas(book)}"
    return f"-10*LOG10(((10^(-MIN({wall},99)/10)+10^(-flanking_limit/10))*outer_wall_area+10^(-({doors})/10)*door_area+{holes})/(outer_wall_area+door_area))"


_AROUND: Final = "outer_wall_area+door_area"
_WEAKEST: Final = 'IF(room_weakest="doors",IF(door_arrangement="pair","pair of doors","door"),"separate frames")'
"""The construction whose uncertainty the loss of the whole room has."""

"""Isolation: as found against converted by third octave, old boards on or off, and the weakest element."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName

from stillbook.templates import look
from stillbook.templates.conversion import found, losses, summary
from stillbook.templates.conversion.inputs import ALL_ROUND, BEYOND, NEW, OFF
from stillbook.templates.conversion.takeoff import lined_sheets
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import bands
from stillbook.templates.parts.bands import THIRDS, Working
from stillbook.templates.parts.quiet_room import heard, privacy, tested
from stillbook.templates.parts.quiet_room.heard import Shared
from stillbook.templates.parts.quiet_room.loss_graph import Graph
from stillbook.templates.parts.quiet_room.upgrades import BETTER_SEALED, BETTER_SEALS, OTHER_DOORS, boards_cost, price

BANDS: Final = (50, 63, 80, 100, *THIRDS)
LOW: Final = range(2, 7)
"""Numbers of the bands from 63 to 160 Hz, where a middle cavity costs most."""

PLAN: Final = "As planned"
BOARD: Final = "One layer more, new leaf"
SEALS: Final = "Seals that close half the gap left"
BOTH: Final = "Both"
OTHER: Final = "Other door arrangement"

SHARED: Final = '="Shared with next door: "&next_beyond'
"""What the row of what the room shares with the one next door is called, as a formula."""

_CHANGES: Final = 8
"""Rows that the ways to do better take."""

GAIN: Final = "[>=0.5]+0;[<=-0.5]-0;0"
"""How a gain is shown."""

STC: Final = FIRST + len(BANDS) + 1
"""Column of the STC of a row; that of the Rw and that of the area follow."""

RW, AREA = STC + 1, STC + 2
FIRST_STC, FIRST_RW = (FIRST + 1 + BANDS.index(hz) for hz in (125, 100))
RATINGS: Final = (
    f"=STILL_STCRATING({get_column_letter(FIRST_STC)}{{r}}:{get_column_letter(FIRST_STC + 15)}{{r}})",
    f"=STILL_RWRATING({get_column_letter(FIRST_RW)}{{r}}:{get_column_letter(FIRST_RW + 15)}{{r}})",
)


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Isolation",
        "Predicted transmission loss by third octave, as found and converted. A prediction, with its range; a built room may do less.",
        (33, *[5.1] * len(BANDS), 5.6, 5.6, 10.2),
        wide=True,
        scale=77,
    )
    top = page.at
    page.skip(summary.ROWS)
    changes_at = page.at
    page.skip(_CHANGES)
    converted_at = _room_for_graph(page, "The room as found and converted, against the contour of its rating")
    page.break_here()
    rows = _Rows(book, page).rows
    walls_at = _room_for_graph(page, "Walls: as found, new leaf over the old board, old board off")
    end, page.at = page.at, top
    summary.write(book, page, rows, STC, RW)
    page.at = end
    page.break_here()
    around, kind = "envelope_area", '"isolation clips"'
    shared = Shared(SHARED, losses.whole(book, '"octave"', "{n}", shared=True), losses.SHARED.area, losses.OPENS_THERE)
    heard.write(book, page, losses.whole(book, '"octave"', "{n}"), around, kind, shared)
    printed = page.at
    privacy.write(book, page, losses.whole(book, '"all"', privacy.NUMBER, shared=True), shared.area, heard.next_absorption(book), kind, shared.ducts)
    tested.write(book, page, shared.area)
    _shared(book, page)
    ways = _ways(book, page, rows)
    end, page.at = page.at, changes_at
    _changes(book, page, ways)
    page.at = end
    bands.build_ups(page, {"inner": "New leaf"})
    found.count_leaves(page)
    page.finish(printed)
    far = book.workbook.defined_names["wall_far_layers"].attr_text
    book.workbook.defined_names["outer_layers"] = DefinedName("outer_layers", attr_text=far)
    _graphs(page, rows, walls_at, converted_at)
    return page


class _Rows:
    """The rows by third octave, and the row number of each by its key."""

    def __init__(self, book: Book, page: Page) -> None:
        self.book = book
        self.page = page
        page.heading("Transmission loss by third octave, dB", "as found")
        head = bands.head_row(page, BANDS, ("STC", "Rw", book.pick("Area, ft²", "Area, m²")))
        self.hz = f"{{c}}${head}"
        self.rows = {"head": head}
        self.flanked = f"envelope_area,envelope_area*{bands.small_areas(book)}*10^(-flanking_limit/10)"
        self._found()
        self._alternatives()
        self._planned()

    def row(self, key: str, label: str, formula: str, area: str = "", *, strong: bool = False) -> None:
        """A row of losses with its ratings, and the area of the element."""
        page, at = self.page, self.page.at
        self.rows[key] = bands.band_row(page, BANDS, label, formula, (*RATINGS, area or None), strong=strong)
        page.sheet.cell(at, AREA).number_format = look.ONE
        page.sheet.cell(at, AREA).font = look.QUIET

    def gain(self, key: str, label: str, over: str, under: str, name: str, of: str) -> None:
        """A row of differences between two rows, with the greatest or least from 63 to 160 Hz, named."""
        page, at = self.page, self.page.at
        formula = f"={{c}}{self.rows[over]}-{{c}}{self.rows[under]}"
        low = f"={of}({bands.cells(FIRST + LOW[0], FIRST + LOW[-1], at)})"
        self.rows[key] = bands.band_row(page, BANDS, label, formula, (low, None, None), number_format=GAIN)
        page.sheet.cell(at, STC).number_format = GAIN
        page.sheet.cell(at, STC).font = look.STRONG
        page.put(at, RW, "63–160 Hz", font=look.QUIET, border=look.ROW).alignment = look.UNWRAPPED
        self.book.name(name, page, at, STC)

    def together(self, first: str, last: str) -> str:
        """The loss of the elements from one row to another, with what flanks them."""
        areas = f"${get_column_letter(AREA)}${self.rows[first]}:${get_column_letter(AREA)}${self.rows[last]}"
        composite = f"STILL_COMPOSITETL({areas},{{c}}{self.rows[first]}:{{c}}{self.rows[last]},units)"
        return f"=STILL_LEAKEDTL({composite},{self.flanked},0,units)"

    def _found(self) -> None:
        hz = self.hz
        self.row("found_walls", "Walls as found", "=" + losses.found("wall", hz, "1"), "=wall_found_area")
        self.row("found_ceiling", "Ceiling as found", "=" + losses.found("ceiling", hz, "1"), "=ceiling_found_area")
        self.row("found_window", "Window as found", "=" + losses.window_found(hz, "1"), "=window_area")
        self.row("found_door", "Door as found, with its gaps", "=" + losses.door_found(hz, "1"), "=door_area")
        self.row("found", "Room as found", self.together("found_walls", "found_door"), strong=True)
        self.page.skip()

    def _alternatives(self) -> None:
        page, hz = self.page, self.hz
        page.heading("New leaf over the old board, or the old board off", "the same new leaf at the same gap")
        for place, label in (("wall", "Walls"), ("ceiling", "Ceiling")):
            stays, off = f"{place}_stays", f"{place}_off"
            self.row(stays, f"{label}: old board stays, 3 leaves", "=" + losses.over_board(place, hz, "1"))
            self.row(off, f"{label}: old board off, 2 leaves", "=" + losses.board_off(place, hz, "1"))
            self.gain(f"{place}_gain", "Better with the old board off by", off, stays, f"{place}_low_gain", "MAX")
        page.note("Where there is no old board on the room's side, both rows are the wall as found and the new leaf.")
        page.skip()

    def _planned(self) -> None:
        book, page, hz, rows = self.book, self.page, self.hz, self.rows
        boxed = "write a laboratory's figures, 125 to 4000 Hz, in the boxed row to use them for the new walls"
        page.heading("As planned", boxed)
        rows["lab"] = bands.laboratory_row(page, "Walls, laboratory figures", len(BANDS))
        first, last = (get_column_letter(FIRST_STC + place) for place in (0, 15))
        used = f"COUNT(${first}${rows['lab']}:${last}${rows['lab']})=16"
        box = f"{{c}}{rows['lab']}"
        chosen = {place: f'IF({place}_board="{OFF}",{{c}}{rows[place + "_off"]},{{c}}{rows[place + "_stays"]})' for place in ("wall", "ceiling")}
        ceiling = f"=IF(lined_ceiling_area=0,{{c}}{rows['found_ceiling']},{chosen['ceiling']})"
        walls = f'=IF(AND({used},{box}<>""),{box},{chosen["wall"]})'
        self.row("walls", "Walls with a new leaf", walls, "=wall_new_area")
        self.row("old_walls", "Walls left as they are", f"={{c}}{rows['found_walls']}", "=wall_old_area")
        self.row("ceiling", "Ceiling", ceiling, "=ceiling_found_area")
        self.row("window", "Window with its new pane", "=" + losses.window_planned(hz, "1"), "=window_area")
        self.row("door", "Doors, with their gaps", "=" + bands.door_loss(book, "seal_share", hz, "1"), "=door_area")
        self.row("all", "All, and what flanks it", self.together("walls", "door"))
        leaked = f"STILL_LEAKEDTL({{c}}{rows['all']},envelope_area,holes_leak,0,units)"
        whole = f"=IF(holes_leak=0,{{c}}{rows['all']},{leaked})"
        self.row("room", "Room converted, cable holes with it", whole, strong=True)
        elements = {key: f"{{c}}{rows[key]}" for key in ("walls", "old_walls", "ceiling", "window", "door")}
        self.row("next", SHARED, "=" + losses.around(book, losses.SHARED, **elements), "=next_area")
        book.name("room_stc_cell", page, rows["room"], STC)
        self.gain("better", "Better than as found by", "room", "found", "least_low_gain", "MIN")
        rating, before = f"{get_column_letter(STC)}${rows['room']}", len(BANDS) - len(THIRDS)
        contour = f"=INDEX(STILL_STCCONTOUR({rating}),1,{{n}}-{before})"
        rows["contour"] = bands.band_row(page, BANDS, "STC contour", contour, (None, None, None))
        for column in range(FIRST + 1, FIRST_STC):
            page.sheet.cell(rows["contour"], column).value = None
        thirds = f"{get_column_letter(FIRST_STC)}{{r}}:{get_column_letter(FIRST_STC + 15)}{{r}}"
        bands.tested(page, BANDS, rows["next"], "next_area", thirds)
        self._let_through(used)

    def _let_through(self, used: str) -> None:
        def part(key: str, area: str) -> str:
            return "=" + bands.through(bands.cells(FIRST_STC, FIRST_STC + 15, self.rows[key]), area)

        areas = {"walls": "wall_new_area", "old_walls": "wall_old_area", "ceiling": "ceiling_found_area", "window": "window_area", "door": "door_area"}
        held = {key: f'=IF({area}=0,"",{get_column_letter(STC)}{self.rows[key]}-10*LOG10({area}))' for key, area in areas.items()}
        held["holes"] = f"=-10*LOG10(MAX(0.000000001,holes_leak/{bands.small_areas(self.book)}))"
        held["flanking"] = "=flanking_limit-10*LOG10(envelope_area)"
        for label, figures in (
            (
                "Workings: walls, left, ceiling",
                (
                    Working("walls_share", part("walls", "wall_new_area")),
                    Working("old_walls_share", part("old_walls", "wall_old_area")),
                    Working("ceiling_share", part("ceiling", "ceiling_found_area")),
                    Working("lab_used", f"=IF({used},1,IF(COUNTA({bands.cells(FIRST + 1, FIRST + len(BANDS), self.rows['lab'])})>0,-1,0))", look.WHOLE),
                ),
            ),
            (
                "Window, doors, holes, flanking, shell",
                (
                    Working("window_share", part("window", "window_area")),
                    Working("doors_share", part("door", "door_area")),
                    Working("holes_share", f"=16*holes_leak/{bands.small_areas(self.book)}"),
                    Working("flanking_share", "=16*envelope_area*10^(-flanking_limit/10)"),
                    Working("wall_share", "=walls_share+old_walls_share+ceiling_share+window_share+flanking_share"),
                ),
            ),
            ("STC of each less 10 log area", tuple(Working(f"{key}_held", formula, look.WHOLE) for key, formula in held.items())),
        ):
            bands.workings(self.book, self.page, label, figures)
        self.page.note(
            "Windows and walls of three leaves are predicted without flanking, so high that flanking decides; a new "
            "pane in a frame that touches the old one does far less. Bands below 125 Hz are the least certain. "
            "Workings: area times the share let through, and what each does to the rating."
        )


def _shared(book: Book, page: Page) -> None:
    """Write the areas of what the room shares with the one next door: the whole shell, or one surface with its openings."""
    all_round = f'next_beyond="{ALL_ROUND}"'
    that = "SUMPRODUCT((shell_surfaces=next_beyond)*{0})"
    walls = f'(shell_plans{{0}}"{NEW}")*(shell_surfaces<>"{BEYOND[-1]}")*shell_areas'
    ones = (
        that.format(walls.format("=")),
        that.format(walls.format("<>")),
        f'IF(next_beyond="{BEYOND[-1]}",ceiling_found_area,0)',
        that.format("shell_windows"),
        that.format("shell_doors"),
    )
    parts = zip(losses.SHARED.elements, losses.SHELL.elements, ones, strict=True)
    figures = [Working(name, f"=IF({all_round},{whole},{one})", look.ONE) for name, whole, one in parts]
    figures.append(Working(losses.SHARED.area, "=" + "+".join(losses.SHARED.elements), look.ONE))
    bands.workings(book, page, "Areas shared with next door", figures)


def _room_for_graph(page: Page, heading: str) -> int:
    """Leave rows for a graph under its heading; gives the first of them."""
    page.heading(heading, "transmission loss, dB")
    row = page.at
    page.skip(10)
    return row


def _graphs(page: Page, rows: dict[str, int], walls_at: int, converted_at: int) -> None:
    """Write the points of the graphs, below what is printed, and show each where there is room for it."""
    for row, name, told, series, contour, reach in (
        (
            walls_at,
            "wall_loss",
            "the wall as found, with a new leaf over its old board, and with the old board off",
            (("wall_off", "old board off"), ("found_walls", "as found"), ("wall_stays", "new leaf over the old board")),
            0,
            "",
        ),
        (
            converted_at,
            "loss",
            "the room as found and converted with its range, its door, and the contour of its rating, hatched where the room falls short of it",
            (("room", "converted"), ("found", "as found"), ("door", "doors")),
            rows["contour"],
            "stc_range",
        ),
    ):
        words = f"Lines of transmission loss by third octave: {told}. The table of bands on this sheet holds the figures."
        shown = [(rows[key], label) for key, label in series]
        page.skip()
        Graph(name, words, rows["head"], (FIRST + 1, FIRST + len(BANDS)), shown, contour, reach, (27.8, 5.2)).write(page, row)


def _ways(book: Book, page: Page, rows: dict[str, int]) -> dict[str, dict[str, str]]:
    """Write the losses of what would do better, below what is printed; gives the elements of each way by their cells."""
    page.heading("Losses of the ways to do better", "by third octave, dB")
    hz = f"{{c}}${bands.head_row(page, BANDS, ())}"

    def losses_of(label: str, formula: str) -> str:
        return f"{{c}}{bands.band_row(page, BANDS, label, '=' + formula, ())}"

    plus = "inner_plus_layers"
    walls = losses_of("Walls, one layer more", losses.planned("wall", hz, "1", plus))
    ceiling = losses_of("Ceiling, one layer more", losses.ceiling_planned(hz, "1", plus))
    sealed = losses_of("Doors, with better seals", bands.door_loss(book, BETTER_SEALED, hz, "1"))
    other = losses_of("Doors, in the other arrangement", bands.door_loss(book, "seal_share", hz, "1", other=True))
    page.skip()
    predicted = f'IF(wall_board="{OFF}",{{c}}{rows["wall_off"]},{{c}}{rows["wall_stays"]})'
    plan = {"walls": predicted} | {key: f"{{c}}{rows[key]}" for key in ("old_walls", "ceiling", "window", "door")}
    thicker = plan | {"walls": walls, "ceiling": ceiling}
    return {PLAN: plan, BOARD: thicker, SEALS: plan | {"door": sealed}, BOTH: thicker | {"door": sealed}, OTHER: plan | {"door": other}}


def _changes(book: Book, page: Page, ways: dict[str, dict[str, str]]) -> None:
    page.heading("What it would take to do better", "rating of the whole room, and the change of the price before tax")
    bands.head_row(page, BANDS, ("STC", "Rw", "Price"))
    board = f"IF(lined_area=0,0,{boards_cost('inner', lined_sheets('1'))})"
    costs = {PLAN: "0", BOARD: board, SEALS: BETTER_SEALS, BOTH: f"{board}+{BETTER_SEALS}", OTHER: OTHER_DOORS}
    for label, elements in ways.items():
        row = bands.band_row(page, BANDS, label, "=" + losses.around(book, losses.SHELL, **elements), (*RATINGS, price(costs[label])))
        page.sheet.cell(row, AREA).number_format = "+#,##0;-#,##0;0"
        if label == OTHER:
            book.name("other_doors_stc", page, row, STC)
    page.note(
        "Boards and seals at the prices of the Unit costs sheet, with labour, overhead, contingency and margin as in this "
        "estimate. Predicted: a laboratory figure of the walls is not used here."
    )

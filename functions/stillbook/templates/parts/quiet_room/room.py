"""Room: what the surfaces inside absorb, how long sound lasts, treatment for a target, modes, and the floor left."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import AREA
from stillbook.templates import look
from stillbook.templates.charts import lines, spikes
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import bands, octaves
from stillbook.templates.parts.table import Column, Table

OCTAVES: Final = octaves.OCTAVES[1:-1]
BANDS: Final = FIRST + 3
"""Column of the first octave."""

MODES: Final = 15
"""Modes listed."""

THIRDS: Final = 14
"""Rows for third octaves: as many as the largest room the inputs allow has up to 200 Hz."""


SCALE: Final = 71
"""Of the page in print, in percent: it takes one sheet of paper, and its type stays large enough."""

_CHART: Final = 12
"""Rows that the charts take."""

CEILING_SHARE: Final = 0.3
"""Share of the treatment by rule that goes on the ceiling: common practice, no source."""

DOOR: Final = ("Door, inside", "door_surface", "=door_area")


def write(book: Book, openings: Sequence[tuple[str, str, str]] = (DOOR,), uneven: str = "change one side a little") -> Page:
    """Write the sheet; ``openings`` are the label, material and area of each door and window, ``uneven`` what to do about uneven modes."""
    page = book.page(
        "Room",
        "Inside the room: what its surfaces absorb, how long sound lasts in it, and where its own tones lie.",
        (37, 26, 12, *[9.5] * len(OCTAVES)),
        scale=SCALE,
    )
    rows = _surfaces(book, page, openings)
    _treatment(book, page, rows)
    _charts(page, rows, _modes(book, page, uneven))
    page.finish()
    return page


def _octaves(row: int) -> str:
    return f"{get_column_letter(BANDS)}{row}:{get_column_letter(BANDS + len(OCTAVES) - 1)}{row}"


def _row(page: Page, label: str, formula: str, *, material: str = "", area: str = "", number_format: str = look.TWO, strong: bool = False) -> int:
    """A row over the octaves; ``{n}`` is the octave's number, ``{c}`` its column."""
    cells = [formula.format(n=n, c=get_column_letter(BANDS + n - 1)) for n in range(1, len(OCTAVES) + 1)]
    row = page.row((label, material or None, area or None, *cells), ("text", "text", look.ONE, *[number_format] * len(cells)), strong=strong)
    for column in range(BANDS, BANDS + len(OCTAVES)):
        page.sheet.cell(row, column).font = look.STRONG if strong else look.SMALL
    return row


def _surfaces(book: Book, page: Page, openings: Sequence[tuple[str, str, str]]) -> dict[str, int]:
    area = book.unit(AREA)
    page.heading("Absorption by octave", "write a laboratory's six figures for the treatment to use them instead")
    rows = {"head": bands.head_row(page, OCTAVES, (), ("Surface", "Material", f"Area, {area}"), words=(0, 1))}
    page.rule(page.at)
    rows["laboratory"] = bands.laboratory_row(page, "Treatment, laboratory figures", len(OCTAVES), number_format=look.TWO, first=BANDS)
    known = "INDEX(STILL_ABSORPTION({0}),1,{{n}})"
    figures = _octaves(rows["laboratory"]).replace(":", ":$")
    measured = f"COUNT(${figures})={len(OCTAVES)}"
    treated = f"=IF({measured},{{c}}{rows['laboratory']},{known.format('treatment_surface')})"
    surfaces = (
        ("treatment", "Treatment on walls and ceiling", "treatment_surface", "=wall_treated+ceiling_treated", treated),
        ("walls", "Walls between the treatment", "wall_surface", "=MAX(0,inner_wall_area-wall_treated)", ""),
        ("ceiling", "Ceiling between the treatment", "ceiling_surface", "=MAX(0,floor_area-ceiling_treated)", ""),
        ("floor", "Floor", "floor_surface", "=floor_area", ""),
        *(("opening", *opening, "") for opening in openings),
    )
    for key, label, material, size, formula in surfaces:
        name = f'=IF({measured},"laboratory figures",{material})' if key == "treatment" else f"={material}"
        rows[key] = _row(page, label, formula or f"={known.format(material)}", material=name, area=size)
    first, last = rows["treatment"], rows["opening"]
    column, end = get_column_letter(FIRST + 2), get_column_letter(BANDS + len(OCTAVES) - 1)
    areas = f"${column}${first}:${column}${last}"
    absorbs = f"${get_column_letter(BANDS)}${first}:${end}${last}"
    rows["other"] = _row(
        page,
        f"People, furniture and air, {area}",
        "=other_absorption+INDEX(STILL_AIRABSORPTION(room_volume,room_temperature,exhaust_humidity,altitude,units),1,{n})",
        number_format=look.ONE,
    )
    other, others = f"{{c}}{rows['other']}", _octaves(rows["other"]).replace(":", ":$")
    rows["absorption"] = _row(
        page,
        f"Absorption area, {area}",
        f"=INDEX(STILL_ROOMABSORPTION({areas},{absorbs},${others},units),1,{{n}})",
        area=f"=SUM({areas})",
        number_format=look.ONE,
        strong=True,
    )
    absorption = f"{{c}}{rows['absorption']}"
    rows["mean"] = _row(page, "Mean coefficient", f"={absorption}/${column}${rows['absorption']}")
    page.name("room_absorption", rows["absorption"], BANDS, last_column=BANDS + len(OCTAVES) - 1)
    for method in ("Sabine", "Eyring"):
        decay = f'=INDEX(STILL_REVERBERATION(room_volume,{areas},{absorbs},"{method}",${others},units),1,{{n}})'
        rows[method] = _row(page, f"Reverberation time, {method}, s", decay, strong=method == "Sabine")
    rows["target"] = _row(page, "Target, s", "=target_time")
    bare = f"{{c}}{rows['walls']}"
    more = f"STILL_TREATMENTAREA(room_volume,target_time,{absorption},{{c}}{first},{bare},units)"
    openings_at = range(rows["ceiling"] + 2, last + 1)
    untreated = f"inner_wall_area*{bare}+floor_area*{{c}}{rows['ceiling']}+{other}+" + "+".join(
        f"${column}{row}*{{c}}{row}" for row in (rows["floor"], *openings_at)
    )
    needed = f"STILL_TREATMENTAREA(room_volume,target_time,{untreated},{{c}}{first},{bare},units)"
    rows["needed"] = _row(page, f"Treatment for the target, all, {area}", f"=IF({{c}}{first}>{bare},{needed},0)", number_format=look.ONE)
    rows["more"] = _row(page, f"More treatment needed, {area}", f'=IF({{c}}{first}>{bare},{more},"too thin")', number_format=look.ONE)
    page.note(
        "By Sabine, on the walls; the air's by ISO 9613-1. Eyring is shorter, and nearer in a room as dead as most booths are. Two laboratories differ "
        "by 0.1 and more in one coefficient; 63 Hz is taken as 125, and 8000 as 4000, where the Isolation sheet asks. Fabric, wool and "
        "foam inside a room must meet the local code's rules for fire."
    )
    page.skip()
    return rows


def _treatment(book: Book, page: Page, rows: dict[str, int]) -> None:
    area = book.unit(AREA)
    speech = f"{get_column_letter(BANDS + 2)}{{0}}:{get_column_letter(BANDS + 5)}{{0}}"
    longest = f'=IF({bands.in_part(_octaves(rows["laboratory"]), len(OCTAVES))},"",MAX({speech.format(rows["Sabine"])}))'
    middle = f"{get_column_letter(BANDS + 1)}{rows['absorption']}:{get_column_letter(BANDS + 4)}{rows['absorption']}"
    surface = f"${get_column_letter(FIRST + 2)}${rows['absorption']}"
    page.part(
        "In short",
        ResultRow("Treatment by rule", f"=ROUNDUP(MAX({speech.format(rows['needed'])})*1.03,{book.pick('0', '1')})", area, "treatment_by_rule").noting(
            "What the target asks at 500 Hz and up, and 3 %."
        ),
        ResultRow(
            "Treatment on the ceiling",
            f'=IF(ceiling_treatment="",MIN(floor_area,IF(wall_treatment="",{CEILING_SHARE}*treatment_by_rule,MAX(0,treatment_by_rule-wall_treatment))),'
            "ceiling_treatment)",
            area,
            "ceiling_treated",
        ).noting("Typed, or by rule: 30 % of it."),
        ResultRow("Treatment on the walls", '=IF(wall_treatment="",MAX(0,treatment_by_rule-ceiling_treated),wall_treatment)', area, "wall_treated").noting(
            "Typed, or by rule: the rest."
        ),
        ResultRow("Longest reverberation, 500 Hz and up", longest, "s", "longest_time", look.TWO, key=True).noting("By Sabine, against the target."),
        ResultRow("More treatment, 500 Hz and up", f"=MAX({speech.format(rows['more'])})", area, "more_treatment").noting(
            "For 250 Hz and below: thicker, not more."
        ),
        ResultRow("Absorption area, 250 to 2000 Hz", f"=IF(N(room_alpha)>0,room_alpha*{surface},AVERAGE({middle}))", area, "absorption_area").noting(
            "Or of the mean coefficient on the Inputs sheet."
        ),
        ResultRow(
            "Single tones rule below",
            f"=STILL_SCHROEDERFREQUENCY({get_column_letter(BANDS + 2)}{rows['Sabine']},room_volume,units)",
            "Hz",
            "modal_limit",
            look.WHOLE,
        ).noting("Below it look at the modes: times and levels there are uncertain."),
        *_floor(book),
    )


def _floor(book: Book) -> tuple[ResultRow, ...]:
    """What the treatment walls leave of the floor."""
    area = book.unit(AREA)
    ask = "STILL_FLOORLEFT(room_length,room_width,treatment_depth,treatment_walls_length,treatment_walls_width,units)"
    return (
        ResultRow("Floor between the leaves", "=floor_area", area, "", look.ONE),
        ResultRow("Floor left inside the treatment walls", f"=INDEX({ask},1,1)", area, "floor_left", key=True).noting("Inside separate treatment walls."),
        ResultRow("Share that the treatment walls take", f"=INDEX({ask},1,2)/floor_area", "", "", look.PERCENT).noting(
            "Wiring boxes sit in them, not in the leaf."
        ),
    )


def _charts(page: Page, rows: dict[str, int], modes: tuple[int, int]) -> None:
    """Reverberation at the left, the modes from the first to the last of their rows at the right."""
    lines(
        page,
        title="Reverberation time, s",
        told="Lines of reverberation time by octave: by Sabine, by Eyring, and the target. The table above holds the figures.",
        value_title="s",
        labels=(BANDS, BANDS + len(OCTAVES) - 1, rows["head"]),
        series=(rows["Sabine"], rows["Eyring"], rows["target"]),
        size=(11.5, 6.2),
    )
    spikes(
        page,
        title="Modes of the room",
        told="A spike for each mode of the room at its frequency, as high as its kind: axial highest, then tangential, then oblique. The table "
        "on this sheet holds the figures.",
        across=(FIRST + 1, *modes),
        heights=FIRST + 3,
        floor=-12,
        size=(12.8, 6.2),
        across_title="Hz",
        heights_title="dB beside an axial mode",
        anchor=f"{get_column_letter(FIRST + 2)}{page.at}",
    )
    page.skip(_CHART)


def _modes(book: Book, page: Page, uneven: str) -> tuple[int, int]:
    """Modes at the left, their number by third octave at the right; gives the first and the last row of the modes."""
    page.heading("Modes", "hard, parallel walls; light walls and treatment shift and widen them")
    across = book.pick("1126", "343.2")
    page.result(
        ResultRow("Two dozen modes lie below", f"={across}*(18/(PI()*room_volume))^(1/3)", "Hz", "modes_to", look.WHOLE).noting(
            f"By its volume; the lowest {MODES} are listed."
        )
    )
    page.skip()
    sides = "room_length,room_width,room_height"
    kind = "LEFT({mode},1)"
    table = Table(
        page,
        (
            Column("Kind; order by length, width, height", key="mode", words=True),
            Column("Frequency, Hz", key="hertz", number_format=look.ONE),
            Column("Apart", key="apart", number_format=look.ONE),
            Column("Level", f'IF({kind}="a",0,IF({kind}="t",-3,-6))', key="level", number_format=look.WHOLE),
            Column("Third", key="third", number_format="0.#"),
            Column("Modes", key="modes", number_format=look.WHOLE),
            Column("Verdict", key="verdict", words=True),
        ),
    )
    page.merge(table.head(), FIRST + 6)
    ask = f"INDEX(STILL_ROOMMODES({sides},modes_to,units),{{0}},{{1}})"
    count = f'=IFERROR(INDEX(STILL_MODEBANDS({sides},200,"",units),{{0}},{{1}}),"")'
    for number in range(MODES):
        of, order, hertz, apart = (ask.format(number + 2, column) for column in (2, 3, 1, 4))
        thirds = [count.format(number + 2, column) if number < THIRDS else "" for column in (1, 2, 4)]
        row = table.row(f'={of}&"  "&{order}', f"={hertz}", f"={apart}" if number else "", *thirds)
        page.merge(row, FIRST + 6)
        page.ink(row, look.SMALL, first=FIRST + 2)
    first, last = table.first, page.at - 1
    verdicts = f"{get_column_letter(FIRST + 6)}{first}:{get_column_letter(FIRST + 6)}{first + THIRDS - 1}"
    page.note(
        "Apart: from the mode above, in Hz; none or very wide is heard. Level: of each kind beside an axial mode, dB (Morse and "
        "Bolt, 1944). Third: third octave, Hz; each should hold at least as many modes as the one below, and none that "
        "coincide unless it holds five (Bonello, 1981)."
    )
    page.result(
        ResultRow(
            "Modes: third octaves that are not even",
            f'=COUNTIF({verdicts},"fewer*")+COUNTIF({verdicts},"modes*")+0*room_volume',
            "",
            "uneven_bands",
            look.WHOLE,
            key=True,
        ).noting(f"None is best; else {uneven}.")
    )
    page.skip()
    return first, last

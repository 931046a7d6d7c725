"""One room: the way of the air from the fan to one room of the schedule, what is heard of it, its CO2, and changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import AIR_SPEED, AIRFLOW, AREA, LENGTH, PRESSURE, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.air_schedule import branch
from stillbook.templates.air_schedule.branch import NOISY, Branch
from stillbook.templates.calls import nth
from stillbook.templates.charts import lines
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import octaves
from stillbook.templates.parts.octaves import ALONG, SILENT
from stillbook.trade.air.co2 import WORKPLACE_CO2

STEPS: Final = 10
"""Steps of the session in the chart."""

OPEN_SESSION: Final = 480
"""What is shown of a session of no stated length [min]."""

ELEMENTS: Final = {
    "box": "Lined box after the fan",
    "split": "Split to the branch",
    "duct": "Lined duct of the branch",
    "elbows": "Elbows of the branch",
    "end": "Grille and open end",
}
"""The way after the fan, in the order of the air."""

ROOM: Final = Branch(
    airflow="one_airflow",
    width="one_duct_width",
    height="one_duct_height",
    length="one_duct_length",
    elbows="one_elbows",
    grille_width="one_grille_width",
    grille_height="one_grille_height",
    area="one_duct_width*one_duct_height",
)
"""The branch of the room shown."""


@dataclass
class Places:
    """Rows of the sheet by what they hold."""

    loss: dict[str, int] = field(default_factory=dict)
    noise: dict[str, int] = field(default_factory=dict)
    heard: dict[str, int] = field(default_factory=dict)
    rows: dict[str, int] = field(default_factory=dict)


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "One room",
        "From the fan to the ear in one room of the schedule: what each element takes in pressure and in sound, and what is heard.",
        (42, 16, 10.5, 12.5, *[7] * len(octaves.OCTAVES), 8.5),
        wide=True,
    )
    places = Places()
    _choice(book, page)
    _facts(book, page)
    results_at = page.at
    page.skip(9)
    charts_at = page.at
    page.skip(13)
    page.break_here()
    _way(book, page, places)
    page.break_here()
    _heard(book, page, places)
    called = ("one_change", "one_change_words", "one_change_octave")
    octaves.change_first(page, called, "one_sounds,one_levels,one_target", digits="0.0", known=_if_known)
    page.break_here()
    _alternatives(book, page, places)
    _session(page, places)
    last = page.at
    page.at = results_at
    _results(book, page)
    page.at = last
    shown = [places.heard[key] for key in ("all", "target", "fan")]
    octaves.chart(page, places.rows["head"], shown, charts_at, (14.8, 6.7))
    lines(
        page,
        title="CO2 over the longest session, ppm",
        told="Lines over the minutes of the longest session: CO2 in the room with the fan on, and once it stops, against what is to be held "
        f"and {WORKPLACE_CO2} ppm, the 8-hour workplace limit of 29 CFR 1910.1000. The rows of minutes on this sheet hold the figures.",
        value_title="ppm",
        labels=(FIRST + 1, FIRST + 1 + STEPS, places.rows["minutes"]),
        series=[places.rows[key] for key in ("fan on", "to hold", "fan stops", "holding")],
        anchor=f"{get_column_letter(octaves.BAND)}{charts_at}",
        size=(12.3, 6.7),
        labels_title="minutes",
    )
    page.finish(page.at - 1)
    return page


def _if_known(formula: str) -> str:
    """A cell that stays blank while no room can be shown."""
    return f'=IF(one_row="","",{formula})'


# --- which room -------------------------------------------------------------------------------------------------------


def _choice(book: Book, page: Page) -> None:
    """The boxed cell of the room's mark, and the row of the schedule it stands in."""
    row = page.at
    page.put(row, FIRST, "Mark of the room")
    entry = book.input("one_room", "Mark of the room to show", options="rooms", optional=True).saying(
        "Mark from the Rooms sheet; blank takes the room that is most over its NC."
    )
    page.input_cell(row, FIRST + 1, entry)
    page.put(row, FIRST + 3, "Blank takes the room that is most over the NC wanted of it, or nearest to it.", font=look.QUIET, align=look.UNWRAPPED)
    page.sheet.row_dimensions[row].height = 17
    page.at += 1
    worst = "IF(COUNT(overs)=0,MATCH(MAX(nc_heard),nc_heard,0),MATCH(MAX(overs),overs,0))"
    typed = 'IFERROR(MATCH(one_room,rooms,0),IFERROR(MATCH(VALUE(one_room),rooms,0),MATCH(one_room&"",rooms,0)))'
    chosen = f'IF(one_room="",{worst},{typed})'
    row = page.at
    page.put(row, FIRST, "Its row in the schedule")
    found = f'=IFERROR({chosen}+0*INDEX(nc_heard,{chosen})+0*INDEX(co2_ends,{chosen}),"")'
    page.put(row, FIRST + 1, found, number_format=look.WHOLE)
    book.name("one_row", page, row, FIRST + 1)
    page.put(
        row,
        FIRST + 3,
        '=IF(one_row="","Nothing is shown: there is no room of this mark, or an input is missing or wrong. See the Row checks sheet.","")',
        font=look.QUIET,
        align=look.UNWRAPPED,
    )
    page.at += 1
    page.skip()


def _facts(book: Book, page: Page) -> None:
    """What the schedule says of the room, in one row."""
    small, large = book.unit(LENGTH), book.unit(ROOM_LENGTH)
    session = f"IF(N(INDEX(sessions,one_row))=0,{OPEN_SESSION},INDEX(sessions,one_row))"
    wanted = 'IF(N(INDEX(nc_wanted,one_row))=0,"none",INDEX(nc_wanted,one_row))'
    of, digits = "INDEX({},one_row)".format, book.pick(look.WHOLE, look.ONE)
    facts = {
        "one_name": ("Room", 'INDEX(rooms,one_row)&" "&INDEX(room_names,one_row)', "text"),
        "one_airflow": (f"Airflow, {book.unit(AIRFLOW)}", of("airflows"), look.ONE),
        "one_duct_length": (f"Branch, {large}", of("duct_lengths"), look.ONE),
        "one_elbows": ("Elbows", of("elbow_counts"), look.WHOLE),
        "one_duct_width": (f"Duct width, {small}", of("duct_widths"), look.WHOLE),
        "one_duct_height": (f"Duct height, {small}", of("duct_heights"), look.WHOLE),
        "one_grille_width": (f"Grille width, {small}", of("grille_widths"), look.WHOLE),
        "one_grille_height": (f"Grille height, {small}", of("grille_heights"), look.WHOLE),
        "one_volume": (f"Room, {large}³", of("volumes"), digits),
        "one_surface": (f"Inside, {large}²", of("surfaces"), digits),
        "one_people": ("People", of("people"), look.WHOLE),
        "one_session": ("Time, min", session, look.WHOLE),
        "one_wanted": ("NC wanted", wanted, look.WHOLE),
    }
    titles, formulas, formats = zip(*facts.values(), strict=True)
    page.head_row(titles)
    row = page.row([*map(_if_known, formulas)], formats, strong=True, names=list(facts))
    page.sheet.cell(row, FIRST).alignment = look.LEFT
    page.skip()


def _results(book: Book, page: Page) -> None:
    loss = book.unit(PRESSURE)
    digits = book.pick(look.THREE, look.ONE)
    page.heading("What is heard in it", "the supply alone, at the seat")
    for entry in (
        ResultRow("Heard at the seat, NC", _if_known("one_nc_heard"), "", "one_nc", look.ONE, key=True),
        ResultRow(
            "Verdict", _if_known('IF(one_wanted="none","no NC set",IF(one_nc<=one_wanted,"within","over"))'), "", "one_verdict", look.GENERAL, key=True
        ).noting("Against the NC wanted of it."),
        ResultRow("Change first", _if_known("one_change_octave"), "Hz", "", look.WHOLE).noting(_if_known('one_change&": "&one_change_words')),
        ResultRow("Pressure from the fan to the room", _if_known("one_path_loss"), loss, "one_pressure", digits, key=True),
        ResultRow("To throttle at its damper", _if_known("MAX(0,worst_branch-one_branch_loss)"), loss, "one_throttle", digits).noting(
            "What the worst branch takes more than this one."
        ),
        ResultRow("CO2 at the end of the session", _if_known("INDEX(co2_ends,one_row)"), "ppm", "one_co2", look.WHOLE, key=True),
        ResultRow("Fan stopped: minutes to 5000 ppm", _if_known("INDEX(fan_off_minutes,one_row)"), "min").noting(
            "From the end of a session. The people inside must know at once, and be able to leave."
        ),
    ):
        page.result(entry)
        page.sheet.cell(page.at - 1, FIRST + 1).alignment = look.RIGHT
    page.skip()


# --- rows of octaves --------------------------------------------------------------------------------------------------


def _row(page: Page, label: str, formula: str | None, *, before: octaves.Before = (None, None, None), last: str | None = None, **style: Any) -> int:
    """A row of octaves that stays blank while no room can be shown."""
    known = [cell and _if_known(cell) for cell in before]
    row = octaves.row(
        page,
        _if_known(label.removeprefix("=")) if label.startswith("=") else label,
        formula and _if_known(formula),
        before=(known[0], known[1], known[2]),
        last=last and _if_known(last.removeprefix("=")),
        rating_format=look.ONE,
        **style,
    )
    page.sheet.cell(row, FIRST + 1).alignment = look.RIGHT
    return row


# --- the way ----------------------------------------------------------------------------------------------------------


def _way(book: Book, page: Page, places: Places) -> None:
    speed, loss = book.unit(AIR_SPEED), book.unit(PRESSURE)
    digits = octaves.of_an_element(book)
    size = 'TEXT({0},"0")&" × "&TEXT({1},"0")'
    fast = "STILL_DUCTVELOCITY({0},{1},{2},units)"
    page.heading("The way of the air, one element a row", "pressure, and what each takes off the sound, dB")
    octaves.head(page, label="Element", before=(f"Size, {book.unit(LENGTH)}", f"Air, {speed}", f"Loss, {loss}"))
    branch_speed = fast.format("one_airflow", "one_duct_width", "one_duct_height")
    about = {
        "box": (
            f'IF(N(box_length)=0,"none",{size.format("box_width", "box_height")}&" × "&TEXT(box_length,"0"))',
            f'IF(N(box_length)=0,"",{fast.format("fan_airflow", "box_width", "box_height")})',
        ),
        "split": (f'TEXT({ROOM.area}/SUM(duct_areas),"0.0%")&" of area"', branch_speed),
        "duct": (size.format("one_duct_width", "one_duct_height"), branch_speed),
        "elbows": ('TEXT(one_elbows,"0")&" square"', branch_speed),
        "end": (size.format("one_grille_width", "one_grille_height"), f"{fast.format('one_airflow', 'one_grille_width', 'one_grille_height')}/grille_free"),
    }
    pressures = ROOM.pressures()
    losses = {"box": f"IF(N(box_length)=0,0,{nth(branch.box_loss())})", **ROOM.losses()}
    first = page.at
    _row(
        page,
        "Filter, louvre, box, main duct, grille",
        None,
        formats=digits,
        before=(size.format("main_width", "main_height"), fast.format("fan_airflow", "main_width", "main_height"), "trunk_loss"),
    )
    for key, label in ELEMENTS.items():
        before = (*about[key], pressures.get(key))
        row = _row(page, label, losses[key], before=before, formats=digits, number_format=look.WHOLE)
        places.loss[key] = row
    column = get_column_letter(FIRST + 3)
    places.rows["sum"] = _row(
        page,
        "The whole way",
        f"SUM({{c}}{places.loss['box']}:{{c}}{places.loss['end']})",
        strong=True,
        before=(None, None, f"SUM({column}{first}:{column}{page.at - 1})"),
        formats=digits,
        number_format=look.WHOLE,
        border=look.TOTAL_ROW,
    )
    book.name("one_path_loss", page, places.rows["sum"], FIRST + 3)
    in_branch = f"SUM({column}{places.loss['split']}:{column}{places.loss['end']})"
    row = _row(page, "The branch alone", None, before=(None, None, in_branch), formats=digits)
    book.name("one_branch_loss", page, row, FIRST + 3)
    page.note(
        f"The first row is the loss that all branches share, from the Inputs sheet, at the speed in the main duct. At most {ALONG} dB "
        "count for a whole way: beyond that, sound runs along its walls. With a grille, damper or bend at the end, the open end takes "
        "nothing off."
    )
    page.skip()
    told = "of the fan, of the air in each element, and what is left after each, dB re 1 pW"
    page.heading("Sound power on the way", told)
    octaves.head(page, label="Made by")
    places.rows["fan"] = _row(page, "The fan, from the Fan sheet", "INDEX(fan_sound,1,{n})", strong=True)
    noises = ROOM.noises()
    uncounted = {"box": '"slow: none"', "end": '"the maker\'s"'}
    for key, label in ELEMENTS.items():
        said = f"Air in: {label.lower()}"
        places.noise[key] = _row(page, said, noises.get(key), before=(uncounted.get(key), None, None))
    octaves.name(page, "one_losses", places.loss["box"], places.loss["end"])
    octaves.name(page, "one_noises", places.noise["box"], places.noise["end"])
    octaves.name(page, "one_fan", places.rows["fan"])
    octaves.head(page, label="Left after")
    for place, label in enumerate(ELEMENTS.values(), start=1):
        steps = f"INDEX(STILL_PATHSTEPS(one_fan,one_losses,one_noises),{place},{{n}})"
        _row(page, label, steps, strong=place == len(ELEMENTS))


# --- what is heard ----------------------------------------------------------------------------------------------------


def _heard(book: Book, page: Page, places: Places) -> None:
    page.heading("Heard at the seat", "each sound for itself, dB")
    places.rows["head"] = octaves.head(page, label="Sound", last="NC")
    places.rows["room"] = _row(
        page, "The room takes off", nth("STILL_ROOMLOSS(listener_distance,one_volume,one_surface*room_alpha,units)"), number_format=look.ONE
    )
    parts = f"MAX({SILENT},INDEX(STILL_PATHPARTS(one_fan,one_losses,one_noises),{{place}},{{{{n}}}})-{{{{c}}}}{places.rows['room']})"
    sounds = {"fan": ("Fan, through box and branch", 1)}
    for place, (key, label) in enumerate(ELEMENTS.items(), start=2):
        if key in NOISY:
            sounds[key] = (f"Air in the {label.lower().replace('lined ', '')}", place)
    sounds["walls"] = ("Fan, along the walls of the ducts", len(ELEMENTS) + 2)
    first = page.at
    for key, (label, place) in sounds.items():
        places.heard[key] = _row(page, label, parts.format(place=place), last=octaves.NC)
    last = page.at - 1
    places.heard["all"] = _row(page, "All together", f"STILL_DBSUM({{c}}{first}:{{c}}{last})", last=octaves.NC, strong=True, border=look.TOTAL_ROW)
    target = '=IF(N(one_wanted)=0,"NC 15, as none is wanted","Target, NC "&TEXT(one_wanted,"0"))'
    curve = nth("STILL_NCCURVE(IF(N(one_wanted)=0,15,one_wanted))")
    places.heard["target"] = _row(page, target, curve, last="one_wanted")
    difference = f"{{c}}{places.heard['all']}-{{c}}{places.heard['target']}"
    over = _row(page, "Over the target; below it where negative", difference, number_format=look.ONE)
    page.put(over, octaves.RATING, "=one_verdict", font=look.STRONG, border=look.ROW)
    # Below 0 dB nothing is heard, and the least level of each sound here is more than what the Noise sheet adds up.
    both = f"MAX(0,{{c}}{places.heard['all']})-MAX(0,INDEX(heard,one_row,{{n}}))"
    agrees = _row(page, "Less the same room on the Noise sheet", f"ROUND({both},3)", number_format="0;-0;0")
    page.ink(agrees, look.QUIET)
    book.name("one_nc_heard", page, places.heard["all"], octaves.RATING)
    octaves.name(page, "one_heard", places.heard["all"])
    octaves.name(page, "one_target", places.heard["target"])
    octaves.name(page, "one_differences", agrees)
    page.name("one_sounds", first, FIRST, last)
    octaves.name(page, "one_levels", first, last)
    page.note(
        "An NC below 15 shows as 15. Fans without maker's figures are known to 10 dB; ducts and boxes to 5. The grille's own noise is "
        "the maker's to state: choose one at least 5 below the NC wanted (common practice)."
    )


# --- changes ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Change:
    """A change for the room: what is said of it, and the formulas of what it alters."""

    name: str
    label: str
    way: Branch = ROOM
    box: str = ""
    """What the box takes off, where it is another."""
    speed: str = "1"
    """Share of the fan's speed."""
    sheet: str = "0"
    """Outside surface of ducts and box more than scheduled."""


def _changes(book: Book) -> Sequence[Change]:
    small, each = book.unit(LENGTH), book.units_in(LENGTH, ROOM_LENGTH)
    wide, high = "(one_duct_width+alt_duct_more)", "(one_duct_height+alt_duct_more)"
    area = f"{wide}*{high}"
    larger = replace(ROOM, width=wide, height=high, area=area, all_areas=f"(SUM(duct_areas)-{ROOM.area}+{area})")
    long = "(N(box_length)+alt_box_longer)"
    starved = "one_airflow*alt_fan_speed<0.999999*MAX(INDEX(airflows_people,one_row),INDEX(airflows_code,one_row))"
    return (
        Change(
            "one_larger_duct",
            f'="Duct of "&TEXT({wide},"0")&" × "&TEXT({high},"0")&IF({high}>duct_most_height,": too high","")',
            larger,
            sheet=f"4*alt_duct_more/{each}*one_duct_length",
        ),
        Change(
            "one_longer_box",
            f'="Lined box "&TEXT({long},"0")&" {small} long"',
            box=nth(branch.box_loss(long)),
            sheet=f"2*(box_width+box_height+4*box_lining)/{each}*alt_box_longer/{each}",
        ),
        Change(
            "one_slower_fan",
            f'="Fan at "&TEXT(alt_fan_speed,"0%")&" of its speed"&IF({starved},": too little air","")',
            replace(ROOM, airflow="(one_airflow*alt_fan_speed)", passing="(fan_airflow*alt_fan_speed)"),
            speed="alt_fan_speed",
        ),
    )


def _alternatives(book: Book, page: Page, places: Places) -> None:
    area, flow, loss = book.unit(AREA), book.unit(AIRFLOW), book.unit(PRESSURE)
    page.heading("Changes side by side", "level at the seat, all together, dB")
    octaves.head(page, label="Change", before=(f"More sheet, {area}", f"Air, {flow}", f"Loss, {loss}"), last="NC")
    formats = (look.ONE, look.ONE, book.pick("0.0000", look.TWO))
    _row(page, "As scheduled", "{c}" + str(places.heard["all"]), before=("0", "one_airflow", "one_path_loss"), formats=formats, last=octaves.NC, strong=True)
    for change in _changes(book):
        _change(book, page, places, change, formats)
    page.note(
        "More sheet: outside surface of duct or box more than scheduled, a measure of its cost where there are no prices. A larger duct "
        "is slower, but its lining takes off less and it takes a larger share of the fan's sound. A slower fan moves less air: the "
        "people's air comes first, so take a larger fan run slowly instead."
    )
    page.skip()


def _change(book: Book, page: Page, places: Places, change: Change, formats: tuple[str, str, str]) -> None:
    """The row of what is heard, and three quiet rows of what goes into it."""
    way = change.way
    losses: Mapping[str, str] = {"box": change.box or f"{{c}}{places.loss['box']}", **way.losses()}
    noises = way.noises()
    row = page.at
    fan, lost, made = (f"{{c}}{row + place}" for place in (1, 2, 3))
    power = f"10^(({fan}-{lost})/10)+10^(({fan}-{ALONG})/10)+10^({made}/10)"
    in_branch = "+".join(way.pressures().values())
    pressure = f"one_path_loss*{change.speed}^2" if change.speed != "1" else f"trunk_loss+{in_branch}"
    _row(
        page,
        change.label,
        f"10*LOG10({power})-{{c}}{places.rows['room']}",
        before=(change.sheet, way.airflow, pressure),
        formats=formats,
        last=octaves.NC,
        strong=True,
    )
    _row(page, "    fan", f'STILL_FANSCALED({{c}}{places.rows["fan"]},"sound",{change.speed})')
    _row(page, "    taken off on the way", f"{losses['box']}+{branch.lost(losses)}", number_format=look.WHOLE)
    _row(page, "    made by the air, at the end", f"MAX({SILENT},{branch.made(losses, noises)})")
    for helper in range(row + 1, page.at):
        page.ink(helper, look.QUIET)
    for suffix, column in (("sheet", FIRST + 1), ("airflow", FIRST + 2), ("loss", FIRST + 3), ("nc", octaves.RATING)):
        book.name(f"{change.name}_{suffix}", page, row, column)
    octaves.name(page, f"{change.name}_heard", row)


# --- CO2 --------------------------------------------------------------------------------------------------------------


def _session(page: Page, places: Places) -> None:
    """CO2 over the session of the room, with the fan on and with a fan that stops half way."""
    page.heading("CO2 over the longest session", f"ppm; {WORKPLACE_CO2} is the 8-hour workplace limit of 29 CFR 1910.1000")
    level = 'STILL_CO2LEVEL(one_people,{air},one_volume,{minutes},INDEX(activities,one_row),outdoor_co2,{start},"",altitude,units)'
    half = level.format(air="one_airflow", minutes="one_session/2", start='""')
    at = "{c}" + str(page.at)
    fan_on = level.format(air="one_airflow", minutes=at, start='""')
    stopped = level.format(air="0", minutes=f"({at}-one_session/2)", start=half)
    for key, label, start, formula in (
        ("minutes", "Minutes", "0", f"one_session*{{step}}/{STEPS}"),
        ("fan on", "Fan on", "outdoor_co2", fan_on),
        ("to hold", "To hold", "co2_limit", "co2_limit"),
        ("fan stops", "Fan stops half way", "outdoor_co2", f"IF({at}<=one_session/2,{fan_on},{stopped})"),
        ("holding", f"{WORKPLACE_CO2} ppm", str(WORKPLACE_CO2), str(WORKPLACE_CO2)),
    ):
        places.rows[key] = page.at
        later = [formula.format(step=step, c=get_column_letter(FIRST + 1 + step)) for step in range(1, STEPS + 1)]
        cells = [_if_known(cell) for cell in (start, *later)]
        page.row((label, *cells), ("text", *[look.WHOLE] * len(cells)), strong=key == "minutes")
    page.note("One well-mixed room, door shut; an estimate, not a monitor. Eight hours are shown where the session has no length.")
    for key, name in (("minutes", "one_minutes"), ("fan on", "one_co2_fan_on"), ("fan stops", "one_co2_fan_stops")):
        page.name(name, places.rows[key], FIRST + 1, last_column=FIRST + 1 + STEPS)

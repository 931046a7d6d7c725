"""Air path: the way from the fan to the ear, element by element, what is heard of it, and what would better it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.booth.inputs import LAYERS, NO_FAN, OWN_FAN
from stillbook.templates.booth.isolation import OCTAVES
from stillbook.templates.charts import lines
from stillbook.templates.page import FIRST, Book, Input, Page, Result
from stillbook.trade.constants import FOOT, POUND
from stillbook.trade.mass import material_key, materials

BAND: Final = FIRST + 4
"""Column of the lowest octave."""

RATING: Final = BAND + len(OCTAVES)
"""Column of the NC of a row."""

BOXES: Final = 5
"""Rows of baffle boxes shown."""

WORST: Final = 3
"""Rows of octaves that are worst."""

SPARE: Final = 3
"""How far below the target a box should bring the fan, for two ways and the rest to add up [dB]."""

ALONG: Final = 50
"""Most that a path of ducts keeps back from end to end; common practice, no source [dB]."""

LINING: Final = "Glass fibre 3 pcf"
"""What the boxes are lined with."""

LEVEL: Final = '0;"<0";0'
"""How a level is shown: what is below 0 dB is not heard."""

ELEMENTS: Final = {
    "change": "Fan collar to duct",
    "duct": "Lined duct",
    "elbows": "Elbows",
    "box": "Baffle box",
    "grille": "Grille, with the widening to it",
    "end": "Open end",
}
"""The way after the fan, in the order of the air."""

NOISY: Final = ("duct", "elbows", "box", "grille")
"""Elements in which the air makes sound of its own."""

Cells = Mapping[str, str]
"""Formulas, or cells that hold them, by element."""


@dataclass(frozen=True)
class Way:
    """A way for the air, by what may be changed in it: names or formulas of its sizes and its airflow."""

    width: str = "duct_width"
    height: str = "duct_height"
    box_inside: str = "baffle_inside_length"
    airflow: str = "airflow"

    @property
    def duct(self) -> str:
        """Airflow and size of the duct, as arguments."""
        return f"{self.airflow},{self.width},{self.height}"

    @property
    def box(self) -> str:
        """Airflow and passage of the box, as arguments."""
        return f"{self.airflow},baffle_width,baffle_height"

    def pressures(self) -> Cells:
        """Pressure that each element takes."""
        change = "STILL_TRANSITIONLOSS({0},{1},{2},units)"
        duct, passage, grille = (
            f"{self.width},{self.height}",
            "baffle_width,baffle_height",
            "grille_width,grille_height",
        )
        return {
            "change": change.format(f'{self.airflow},fan_collar,""', duct, "collar_length"),
            "duct": f'STILL_DUCTLOSS({self.duct},duct_length,"lined",units)',
            "elbows": f'IF(elbow_count=0,0,STILL_FITTINGLOSS({self.duct},"square elbow",elbow_count,"lined",units))',
            "box": f'IF(baffle_passes=0,STILL_FITTINGLOSS({self.box},"box",1,units),'
            f"STILL_LABYRINTHPRESSURE({self.box},{self.box_inside},baffle_passes,units))"
            f"+{change.format(self.duct, passage, 0)}+{change.format(self.box, duct, 0)}",
            "grille": f"grille_loss+{change.format(self.duct, grille, 0)}",
            "end": f'STILL_FITTINGLOSS({self.airflow},{grille},"exit",1,units)',
        }

    def losses(self, book: Book) -> Cells:
        """Sound that each element takes off in the octave ``{n}``."""
        thin = book.pick("0.5", "12")
        area, grille = f"{self.width}*{self.height}", "grille_width*grille_height"
        bare = _band(f"STILL_UNLINEDDUCTLOSS({self.width},{self.height},duct_length,units)")
        opening = "baffle_width*baffle_height"
        hollow = _band(
            f"STILL_BAFFLEBOXLOSS({self.box_inside},baffle_inside_width,baffle_inside_height,{opening},{opening},baffle_lining,baffle_offset,units)"
        )
        turned = _band(
            f"STILL_LABYRINTHLOSS(baffle_width,baffle_height,{self.box_inside},baffle_passes,baffle_lining,units)"
        )
        lined = _band(f"STILL_LINEDDUCTLOSS({self.width},{self.height},duct_length,duct_lining,units)")
        return {
            "change": f"IF(collar_length=0,{_band(f'STILL_AREACHANGELOSS(PI()/4*fan_collar^2,{area},units)')},0)",
            "duct": f"IF(duct_lining<{thin},{bare},{lined})",
            "elbows": f"IF(elbow_count=0,0,{_band(f'STILL_ELBOWLOSS({self.width},duct_lining,elbow_count,units)')})",
            "box": f"IF(baffle_passes=0,{hollow},{turned})",
            "grille": _band(f"STILL_AREACHANGELOSS({area},{grille},units)"),
            "end": _band("STILL_ENDREFLECTION(grille_width,grille_height,open_end,units)"),
        }

    def noises(self) -> Cells:
        """Sound power that the air makes in an element, in the octave ``{n}``."""
        made = "INDEX(STILL_AIRFLOWNOISE({0},units),1,{{n}})"
        elbow = made.format(f'{self.duct},"square elbow"')
        turn = made.format(f'{self.box},"square elbow"')
        return {
            "duct": made.format(f'{self.duct},"duct"'),
            "elbows": f"IF(elbow_count=0,-50,{elbow}+10*LOG10(MAX(1,elbow_count)))",
            "box": f"IF(baffle_passes<2,-50,{turn}+10*LOG10(MAX(1,2*(baffle_passes-1))))",
            "grille": made.format(f'{self.airflow},grille_width,grille_height,"grille",grille_coefficient'),
        }


@dataclass
class Places:
    """Rows of the sheet by what they hold."""

    pressure: dict[str, int] = field(default_factory=dict)
    loss: dict[str, int] = field(default_factory=dict)
    noise: dict[str, int] = field(default_factory=dict)
    heard: dict[str, int] = field(default_factory=dict)
    rows: dict[str, int] = field(default_factory=dict)


def write(book: Book, leaf: str = "outer") -> Page:
    """Write the sheet; ``leaf`` is the build-up that the baffle boxes stand on."""
    page = book.page(
        "Air path",
        "From the fan to the ear: what each element takes in pressure and in sound, and what is heard at the seat.",
        (37, 11.5, 10, 12, *[6.5] * len(OCTAVES), 8),
        wide=True,
    )
    places = Places()
    results_at = page.at
    page.skip(11)
    chart_at = page.at
    page.skip(16)
    page.break_here()
    _way(book, page, places)
    page.break_here()
    _heard(book, page, places)
    _worst(book, page, places)
    page.break_here()
    _alternatives(book, page, places)
    page.break_here()
    _box(book, page, places, leaf)
    last = page.at
    page.at = results_at
    _results(book, page)
    page.at = last
    lines(
        page,
        title="Heard at the seat against the NC curve, dB",
        labels=(BAND, RATING - 1, places.rows["head"]),
        series=[places.heard[key] for key in ("all", "target", "fan", "shell")],
        names=FIRST,
        anchor=f"{get_column_letter(FIRST)}{chart_at}",
        size=(25.0, 7.6),
        labels_title="Hz",
        limits=(0, 60),
    )
    page.finish()
    return page


# --- rows of octaves --------------------------------------------------------------------------------------------------


def _band(call: str) -> str:
    """One octave of a formula that gives eight."""
    return f"INDEX({call},1,{{n}})"


def _column(number: int) -> str:
    """Letter of the column of an octave, counted from 1."""
    letter: str = get_column_letter(BAND + number - 1)
    return letter


def _range(first: int, last: int | None = None) -> str:
    """Eight octaves of one row or of several."""
    return f"${_column(1)}${first}:${_column(len(OCTAVES))}${last or first}"


def _head(book: Book, page: Page, *, label: str, before: Sequence[str] = ("", "", ""), last: str = "") -> int:
    """A heading row with the octaves."""
    page.head_row((label, *before, *map(str, OCTAVES), last))
    for number, hz in enumerate(OCTAVES):
        page.sheet.cell(page.at - 1, BAND + number).value = hz
    return page.at - 1


def _row(
    page: Page,
    label: str,
    octaves: str | None,
    *,
    before: tuple[str | None, str | None, str | None] = (None, None, None),
    formats: tuple[str, str, str] = ("", "", ""),
    last: str | None = None,
    strong: bool = False,
    number_format: str = LEVEL,
    border: object = look.ROW,
) -> int:
    """A row of eight octaves; in ``octaves`` and ``last``, ``{n}`` is the octave's number, ``{c}`` its column, ``{r}``
    the row."""
    row = page.at
    bands = [
        octaves.format(n=number, c=_column(number), r=row) if octaves else None for number in range(1, len(OCTAVES) + 1)
    ]
    page.row(
        (label, *before, *bands, last.format(s=_range(row)) if last else None),
        ("text", *formats, *[number_format] * len(OCTAVES), look.WHOLE),
        strong=strong,
        border=border,
    )
    page.sheet.cell(row, FIRST).alignment = look.LEFT
    return row


NC: Final = "=IFERROR(STILL_NCRATING({s}),70)"


# --- the way ----------------------------------------------------------------------------------------------------------


def _way(book: Book, page: Page, places: Places) -> None:
    speed, loss = book.pick("fpm", "m/s"), book.pick("in.wg", "Pa")
    digits = ("text", book.pick(look.WHOLE, look.TWO), book.pick("0.0000", look.TWO))
    way = Way()
    page.heading("The supply path, one element a row", "pressure, and what each takes off the sound, dB")
    _head(book, page, label="Element", before=("Size", f"Air, {speed}", f"Loss, {loss}"))
    size = '=TEXT({0},"0")&" × "&TEXT({1},"0")'
    fast = "=STILL_DUCTVELOCITY(airflow,{0},{1},units)"
    duct, passage, grille = (
        ("duct_width", "duct_height"),
        ("baffle_width", "baffle_height"),
        ("grille_width", "grille_height"),
    )
    about = {
        "change": (size.format(*duct), "=speed_collar"),
        "duct": (size.format(*duct), "=speed_duct"),
        "elbows": ('=elbow_count&" square"', "=speed_duct"),
        "box": (size.format(*passage), "=speed_box"),
        "grille": (size.format(*grille), fast.format(*grille)),
        "end": ("=open_end", "=speed_grille"),
    }
    pressures, losses = way.pressures(), way.losses(book)
    first = page.at
    before_fan = (
        ("intake", "Intake and fan collar", '=TEXT(fan_collar,"0")&" round"', fast.format("fan_collar", '""'),
         '=grille_loss+STILL_FITTINGLOSS(airflow,fan_collar,"","entrance",1,units)'),
        ("filter", "Filter", None, None, "=filter_loss"),
    )  # fmt: skip
    for key, label, across, air, pressure in before_fan:
        places.pressure[key] = _row(page, label, None, before=(across, air, pressure), formats=digits)
    book.name("speed_collar", page, places.pressure["intake"], FIRST + 2)
    for key, label in ELEMENTS.items():
        row = _row(
            page, label, f"={losses[key]}", before=(*about[key], f"={pressures[key]}"), formats=digits, number_format=look.WHOLE
        )  # fmt: skip
        places.pressure[key] = places.loss[key] = row
    for row in places.pressure.values():
        page.sheet.cell(row, FIRST + 1).alignment = look.RIGHT
    losses_at = _range(places.loss["change"], places.loss["end"])
    column = get_column_letter(FIRST + 3)
    places.rows["sum"] = _row(
        page, "The path", "=SUM({c}" + f"{places.loss['change']}:{{c}}{places.loss['end']})", strong=True,
        before=(None, None, f"=SUM({column}{first}:{column}{page.at - 1})"), formats=digits, number_format=look.WHOLE,
        border=look.TOTAL_ROW,
    )  # fmt: skip
    book.name("path_loss", page, places.rows["sum"], FIRST + 3,
              comment=book.result_comment("path_loss", "Pressure loss of the supply path", loss))  # fmt: skip
    alike = f"=SUM({column}{places.pressure['duct']}:{column}{places.pressure['end']})"
    return_row = _row(page, "Return: same duct, elbows, box, grille", None, before=(None, None, alike), formats=digits)
    book.name("return_loss", page, return_row, FIRST + 3)
    whole = f'=path_loss+IF(return_fan="{NO_FAN}",return_loss,0)'
    fan_row = _row(
        page, "What the supply fan works against", None, before=(None, None, whole), formats=digits, strong=True
    )
    book.name("fan_system_loss", page, fan_row, FIRST + 3,
              comment=book.result_comment("fan_system_loss", "Pressure the supply fan works against", loss))  # fmt: skip
    page.note(
        f"Rectangular unless said. At most {ALONG} dB of loss count for a whole path: beyond that, sound runs along its walls. "
        "A ceiling diffuser, damper or bend at the end takes the end's reflection away."
    )
    page.skip()
    _fan(book, page)
    page.break_here()
    page.heading(
        "Sound power along the path",
        "fan, sound the air makes in each element, and what is left after each, dB re 1 pW",
    )
    _head(book, page, label="Fan")
    _maker(book, page, places)
    room = "STILL_FANSOUND(airflow,fan_system_loss,fan_type,fan_share,units)"
    places.rows["fan"] = _row(
        page, "Fan, at the speed of this estimate",
        f'=IF(fan_given=1,STILL_FANSCALED({{c}}{places.rows["maker"]},"sound",IF(fan_speed=0,1,fan_speed)),{_band(room)}+fan_margin)',
        strong=True,
    )  # fmt: skip
    _head(book, page, label="Made by the air in")
    noises = way.noises()
    for key, label in ELEMENTS.items():
        places.noise[key] = _row(page, label, f"={noises[key]}" if key in NOISY else None)
    noises_at = _range(places.noise["change"], places.noise["end"])
    book.name("path_losses", page, places.loss["change"], BAND, last=losses_at.split(":")[1])
    book.name("path_noises", page, places.noise["change"], BAND, last=noises_at.split(":")[1])
    book.name("fan_sound", page, places.rows["fan"], BAND, last=_range(places.rows["fan"]).split(":")[1])
    _head(book, page, label="Left after")
    for place, label in enumerate(ELEMENTS.values(), start=1):
        steps = f"=INDEX(STILL_PATHSTEPS(fan_sound,path_losses,path_noises),{place},{{n}})"
        _row(page, label, steps, strong=place == len(ELEMENTS))


def _maker(book: Book, page: Page, places: Places) -> None:
    """The boxed row of the maker's sound power."""
    row = page.at
    places.rows["maker"] = row
    page.put(row, FIRST, "Maker's figures at full speed, if you have them", border=look.ROW)
    for column in range(FIRST + 1, page.last_column + 1):
        page.sheet.cell(row, column).border = look.ROW
    for number, hz in enumerate(OCTAVES):
        entry = Input(f"fan_sound_{hz}", f"Fan sound power, {hz} Hz", None, "dB", "At full speed, from the maker's sheet; all eight.",
                      0, 130, optional=True, number_format=look.WHOLE)  # fmt: skip
        page.input_cell(row, BAND + number, entry)
    page.put(row, RATING, f"=IF(COUNT({_range(row)})={len(OCTAVES)},1,0)", font=look.QUIET, number_format='"used";;""')
    book.name("fan_given", page, row, RATING)
    page.sheet.row_dimensions[row].height = 17
    page.at += 1


# --- what is heard ----------------------------------------------------------------------------------------------------


def _heard(book: Book, page: Page, places: Places) -> None:
    page.heading(
        "Heard at the seat", "each sound for itself, dB; supply, return and what comes through the shell together"
    )
    places.rows["head"] = _head(book, page, label="Sound", last="NC")
    places.rows["room"] = _row(
        page, "The room takes off", f"={_band('STILL_ROOMLOSS(listener_distance,room_volume,seat_absorption,units)')}",
        number_format=look.ONE,
    )  # fmt: skip
    part = (
        "=MAX(-50,INDEX(STILL_PATHPARTS(fan_sound,path_losses,path_noises),{0},{{n}})-{{c}}" + f"{places.rows['room']})"
    )
    sounds = {"fan": ("Fan, through the path", part.format(1))}
    for place, (key, label) in enumerate(ELEMENTS.items(), start=2):
        if key in NOISY:
            said = {"box": "Air in the box", "grille": "Air in the grille"}.get(key, f"Air in the {label.lower()}")
            sounds[key] = (said.replace("lined ", ""), part.format(place))
    sounds["walls"] = ("Fan, along the walls of the path", part.format(len(ELEMENTS) + 2))
    first = page.at
    for key, (label, formula) in sounds.items():
        places.heard[key] = _row(page, label, formula, last=NC)
    above = f"{{c}}{first}:{{c}}{page.at - 1}"
    air = f"{{c}}{places.heard['duct']}:{{c}}{places.heard['grille']}"
    places.heard["return"] = _row(
        page,
        "Return path, taken as the supply",
        f'=IF(return_fan="{OWN_FAN}",STILL_DBSUM({above}),STILL_DBSUM({air}))',
        last=NC,
    )
    inlet = _band("STILL_CROSSTALKPOWER(source_outside,duct_width,duct_height,units)")
    room, total = f"{{c}}{places.rows['room']}", f"{{c}}{places.rows['sum']}"
    places.heard["openings"] = _row(
        page, "Outside, in at both openings", f"=MAX(-50,{inlet}+10*LOG10(2)-MIN({total},{ALONG})-{room})", last=NC
    )
    places.heard["boxes"] = _row(
        page, "Outside, through both boxes' shells", "=" + _box_walls(book, places, {}), last=NC
    )
    places.heard["shell"] = _row(page, "Outside, through the room's shell", "=INDEX(shell_inside,1,{n})", last=NC)
    last = page.at - 1
    places.heard["all"] = _row(page, "All together", f"=STILL_DBSUM({{c}}{first}:{{c}}{last})", last=NC, strong=True,
                               border=look.TOTAL_ROW)  # fmt: skip
    places.heard["target"] = _row(page, "Target", f"={_band('STILL_NCCURVE(nc_target)')}", last="=nc_target")
    over = _row(
        page,
        "Over the target",
        f"=MAX(0,{{c}}{places.heard['all']}-{{c}}{places.heard['target']})",
        number_format=look.ONE,
    )
    page.put(over, RATING, '=IF(nc_all<=nc_target,"within","over")', font=look.STRONG, border=look.ROW)
    book.name(
        "nc_all",
        page,
        places.heard["all"],
        RATING,
        comment=book.result_comment("nc_all", "Heard at the seat, all together, NC", ""),
    )
    book.name("heard_names", page, first, FIRST, last=f"${get_column_letter(FIRST)}${last}")
    book.name("heard_levels", page, first, BAND, last=_range(first, last).split(":")[1])
    book.name("target_levels", page, places.heard["target"], BAND, last=_range(places.heard["target"]).split(":")[1])
    page.note(
        "An NC below 15 shows as 15. Sound from outside is the source of the Inputs sheet. Of a box's loss, half counts for what "
        "comes through its shell. Fans without maker's figures are known to 10 dB; ducts and boxes to 5."
    )


def _box_walls(book: Book, places: Places, changed: Cells, length: str = "baffle_length") -> str:
    """Level at the seat of the sound outside that gets in through the shells of both boxes."""
    each = book.pick("12", "1000")
    call = (
        f"STILL_BREAKINPOWER(source_outside,baffle_outer_width,baffle_outer_height,{length}/{each},baffle_layers,units)"
    )
    loss = _cells(places.loss, changed)
    off = f"({loss['box']})/2-({loss['grille']})-({loss['end']})-{{c}}{places.rows['room']}"
    return f"MAX(-50,{_band(call)}+10*LOG10(2)-{off})"


def _cells(rows: Mapping[str, int], changed: Cells) -> Cells:
    """Cells of the rows, in the column ``{c}``, with some replaced by formulas."""
    return {key: changed.get(key, f"{{c}}{row}") for key, row in rows.items()}


def _worst(book: Book, page: Page, places: Places) -> None:
    page.skip()
    page.heading("What to change first", "the octaves that are most over the target, or nearest to it")
    page.head_row(("Heard most in it", "Octave, Hz", "Level", "Target", *[""] * len(OCTAVES), ""))
    ask = "STILL_CHANGEFIRST(heard_names,heard_levels,target_levels)"
    for place in range(2, WORST + 2):
        found = [f"INDEX({ask},{place},{column})" for column in range(1, 8)]
        words = (
            f'=IF({found[3]}<=0,TEXT(-{found[3]},"0")&" dB below the target",TEXT({found[3]},"0")&" dB over: "'
            f'&IF(N({found[6]})=0,"this change alone is not enough","lower it by "&TEXT({found[6]},"0")&" dB"))'
        )
        row = page.row(
            (f"={found[4]}", f"={found[0]}", f"={found[1]}", f"={found[2]}", None, words),
            ("text", *[look.WHOLE] * 3, "", "text"),
        )
        page.sheet.cell(row, FIRST).alignment = look.LEFT
        page.sheet.cell(row, BAND + 1).alignment = look.UNWRAPPED
        if place == 2:
            book.name("change_first", page, row, FIRST)
            book.name("change_words", page, row, BAND + 1)
            book.name("change_octave", page, row, FIRST + 1)
    page.skip()


# --- alternatives -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Alternative:
    """A change of the way, with its price in direct cost."""

    label: str
    way: Way
    changed: tuple[str, ...] = ()
    """Elements whose pressure and loss it changes."""
    noisier: tuple[str, ...] = ()
    """Elements whose own sound it changes."""
    speed: str = ""
    """Share of the fan's speed; by the pressure where blank."""
    length: str = "baffle_length"
    cost: str = "0"


def _alternatives(book: Book, page: Page, places: Places) -> None:
    loss, flow = book.pick("in.wg", "Pa"), book.pick("cfm", "L/s")
    page.heading(
        "Alternatives, supply and return alike", "level at the seat, all together; change of the price before tax"
    )
    places.rows["alternatives"] = _head(
        book, page, label="Change", before=("Price", f"Air, {flow}", f"Fan, {loss}"), last="NC"
    )
    formats = ("+#,##0;-#,##0;0", look.ONE, book.pick(look.THREE, look.ONE))
    _row(page, "As estimated", "={c}" + str(places.heard["all"]), before=("=0", "=airflow", "=fan_system_loss"), formats=formats,
         last=NC, strong=True)  # fmt: skip
    for number, alternative in enumerate(_changes(book), start=1):
        _alternative(book, page, places, number, alternative, formats)
    page.note(
        "Duct cost is taken to grow with its girth; a larger duct makes less sound of its own, but its lining takes off less. A slower fan moves less air: the people's air comes first, so take a larger fan "
        "run slowly instead. Materials at the prices of the Prices sheet, with overhead, contingency and margin as in this estimate."
    )
    page.skip()


def _changes(book: Book) -> Sequence[Alternative]:
    girth = "(alt_duct_width+alt_duct_height+4*duct_lining)/(duct_width+duct_height+4*duct_lining)-1"
    cost = 'INDEX(price_costs,MATCH("{0}",price_codes,0))'
    duct = f"({girth})*(2*duct_length*(1+framing_waste)*{cost.format('DUCT')}+2*elbow_count*{cost.format('ELBOW')})"
    each = book.pick("12", "1000")
    longer = f"(alt_box_length-baffle_length)/{each}"
    skin = f"2*(baffle_outer_width+baffle_outer_height)/{each}*{longer}"
    baffles = f"MAX(0,baffle_passes-1)*baffle_inside_height/{each}*{longer}"
    faces = f"2*(baffle_inside_width+baffle_inside_height)/{each}*{longer}"
    box = f"2*(({skin})*baffle_shell_cost+({baffles})*baffle_board_cost+({faces}+2*{baffles})*baffle_lining_cost)"
    inside = "(baffle_inside_length+alt_box_length-baffle_length)"
    duct_parts = ("change", "duct", "elbows", "box", "grille")
    return (
        Alternative('="Duct of "&TEXT(alt_duct_width,"0")&" × "&TEXT(alt_duct_height,"0")', Way("alt_duct_width", "alt_duct_height"),
                    duct_parts, ("duct", "elbows"), cost=duct),
        Alternative(f'="Box "&TEXT(alt_box_length,"0")&" {book.pick("in", "mm")} long"', Way(box_inside=inside), ("box",),
                    length="alt_box_length", cost=box),
        Alternative('="Fan at "&TEXT(alt_fan_speed,"0%")&" of its speed"&IF(airflow*alt_fan_speed<airflow_people*0.999999,": too little air","")',
                    Way(airflow="(airflow*alt_fan_speed)"), (), NOISY, speed="fan_speed*alt_fan_speed"),
    )  # fmt: skip


def _alternative(
    book: Book, page: Page, places: Places, number: int, alternative: Alternative, formats: tuple[str, str, str]
) -> None:
    """The row of what is heard, and three quiet rows of what goes into it."""
    way = alternative.way
    column = get_column_letter(FIRST + 3)
    pressure = {key: f"{column}{row}" for key, row in places.pressure.items()}
    pressure |= {key: value for key, value in way.pressures().items() if key in alternative.changed}
    back = "+".join(pressure[key] for key in ELEMENTS if key != "change")
    supply = f"{pressure['intake']}+{pressure['filter']}+{pressure['change']}+{back}"
    against = f'={supply}+IF(return_fan="{NO_FAN}",{back},0)'
    losses = _cells(places.loss, {key: value for key, value in way.losses(book).items() if key in alternative.changed})
    noises = _cells(
        {key: places.noise[key] for key in NOISY},
        {key: value for key, value in way.noises().items() if key in alternative.noisier},
    )
    name = f"alternative_{number}"
    speed = (
        alternative.speed
        or f"IFERROR({way.airflow}/STILL_FANFLOW(fan_curve,{way.airflow},{name}_loss,units),fan_speed)"
    )
    generic = _band(f"STILL_FANSOUND({name}_airflow,{name}_loss,fan_type,fan_share,units)")
    after = list(ELEMENTS)
    ends = [
        f"10^(({noises[key]}-({'+'.join(losses[later] for later in after[after.index(key) + 1 :])}))/10)"
        for key in NOISY
    ]
    row = page.at
    fan, loss, noise = (f"{{c}}{row + place}" for place in (1, 2, 3))
    through = f'IF(return_fan="{OWN_FAN}",2,1)*(10^(({fan}-{loss})/10)+10^(({fan}-{ALONG})/10))+2*10^({noise}/10)'
    wider = f"+LOG10({way.width}*{way.height}/(duct_width*duct_height))" if "duct" in alternative.changed else ""
    openings = f"({{c}}{places.heard['openings']}+MIN({{c}}{places.rows['sum']},{ALONG})-MIN({loss},{ALONG}))/10{wider}"
    changed = {key: losses[key] for key in alternative.changed}
    walls = _box_walls(book, places, changed, alternative.length)
    heard = (
        f"=10*LOG10(({through})*10^(-{{c}}{places.rows['room']}/10)+10^({openings})+10^(({walls})/10)"
        f"+10^({{c}}{places.heard['shell']}/10))"
    )
    pressure_formula = "=fan_system_loss*alt_fan_speed^2" if alternative.speed else against
    _row(
        page, alternative.label, heard,
        before=(f"=({alternative.cost})*price_before_tax/direct_cost", f"={way.airflow}", pressure_formula),
        formats=formats, last=NC, strong=True,
    )  # fmt: skip
    _row(
        page, "    fan",
        f'=IF(fan_given=1,STILL_FANSCALED({{c}}{places.rows["maker"]},"sound",MAX(0.01,{speed})),{generic}+fan_margin)',
    )  # fmt: skip
    _row(page, "    taken off by the path", "=" + "+".join(losses.values()), number_format=look.WHOLE)
    _row(page, "    made by the air, at the end", f"=MAX(-50,10*LOG10({'+'.join(ends)}))")
    for helper in range(row + 1, page.at):
        for cell in range(FIRST, page.last_column + 1):
            page.sheet.cell(helper, cell).font = look.QUIET
    for suffix, place in (("price", 1), ("airflow", 2), ("loss", 3)):
        book.name(f"{name}_{suffix}", page, row, FIRST + place)
    book.name(f"{name}_nc", page, row, RATING)


# --- fan and box ------------------------------------------------------------------------------------------------------


def _fan(book: Book, page: Page) -> None:
    flow, loss = book.pick("cfm", "L/s"), book.pick("in.wg", "Pa")
    page.heading("Fan at work", "where its curve on the Inputs sheet meets the paths")
    digits = book.pick(look.THREE, look.ONE)
    for entry in (
        Result("Airflow at full speed", "=IFERROR(STILL_FANFLOW(fan_curve,airflow,fan_system_loss,units),0)", flow, "fan_full_flow",
               look.ONE, "0 where the curve does not meet the paths: points are missing, or the fan would hunt.", key=True),
        Result("Speed that gives the airflow", "=IF(fan_full_flow=0,0,airflow/fan_full_flow)", "of full", "fan_speed", look.PERCENT,
               "Above 100 % the fan is too small; a large fan run slowly is the quiet one.", key=True),
        Result("Pressure at the airflow, full speed", "=IFERROR(STILL_FANPRESSURE(fan_curve,airflow,units),0)", loss,
               "fan_pressure", digits, "What the speed control throttles away, and what a clogged filter may take."),
        Result("Pressure at that speed", '=IF(fan_speed=0,0,STILL_FANSCALED(IFERROR(STILL_FANPRESSURE(fan_curve,fan_full_flow,units),0),"pressure",fan_speed))',
               loss, "fan_working_pressure", digits, "By the fan laws: what the paths take at the airflow."),
        Result("Loss coefficient of the grille",
               '=MAX(0.01,MIN(1000,grille_loss/STILL_FITTINGLOSS(airflow,grille_width,grille_height,"exit",1,units)))', "",
               "grille_coefficient", look.ONE, "The maker's loss over the velocity pressure at its face."),
        Result("Density of the air here", "=STILL_DENSITYFACTOR(altitude,room_temperature,units)", "share", "air_density",
               look.PERCENT, "Pressures are those of standard air; fan and paths shrink alike, the airflow stays."),
    ):  # fmt: skip
        page.result(entry)
    page.skip()


def _box(book: Book, page: Page, places: Places, leaf: str) -> None:
    small, each, area = book.pick("in", "mm"), book.pick("12", "1000"), book.pick("ft²", "m²")
    page.heading("The baffle box of the Inputs sheet", "one for the supply, one for the return")
    wall = "(STILL_BUILDUPTHICKNESS(baffle_board,units)+2*baffle_lining)"
    skin = "2*(baffle_lining+baffle_shell_thickness)"
    density = f"{(materials()[material_key(LINING)].density or 0) / book.pick(POUND / FOOT**3, 1):.6g}"
    for entry in (
        Result("Air speed in the passage", "=STILL_DUCTVELOCITY(airflow,baffle_width,baffle_height,units)", book.pick("fpm", "m/s"), "speed_box",
               book.pick(look.WHOLE, look.TWO)),
        Result("Shell thickness", "=STILL_BUILDUPTHICKNESS(baffle_layers,units)", small, "baffle_shell_thickness", look.TWO),
        Result("Inside length", f"=baffle_length-{skin}", small, "baffle_inside_length", look.ONE),
        Result("Inside width", f"=IF(baffle_passes=0,baffle_open_width-{skin},baffle_passes*baffle_width+(baffle_passes-1)*{wall})", small, "baffle_inside_width", look.ONE),
        Result("Inside height", f"=IF(baffle_passes=0,baffle_open_height-{skin},baffle_height)", small, "baffle_inside_height", look.ONE),
        Result("Between the axes of its openings", "=SQRT((baffle_inside_width-baffle_width)^2+(baffle_inside_height-baffle_height)^2)", small,
               "baffle_offset", look.ONE, "Of an open box with its openings at opposite corners."),
        Result("Outside width", f"=baffle_inside_width+{skin}", small, "baffle_outer_width", look.ONE),
        Result("Outside height", f"=baffle_inside_height+{skin}", small, "baffle_outer_height", look.ONE),
        Result("Shell area", f"=2*(baffle_length*baffle_outer_width+baffle_length*baffle_outer_height+baffle_outer_width*baffle_outer_height)/{each}^2", area,
               "baffle_shell_area", look.ONE),
        Result("Baffle area", f"=MAX(0,baffle_passes-1)*(baffle_inside_length-baffle_width)*baffle_inside_height/{each}^2", area, "baffle_board_area", look.ONE),
        Result("Lining area", f"=2*(baffle_inside_length*baffle_inside_width+baffle_inside_length*baffle_inside_height+baffle_inside_width*baffle_inside_height)/{each}^2+2*baffle_board_area",
               area, "baffle_lining_area", look.ONE),
        Result("Mass of one box",
               f"=STILL_TOTALMASS(baffle_layers,baffle_shell_area,units)+baffle_board_area*STILL_SURFACEMASS(baffle_board,units)+baffle_lining_area*baffle_lining/{each}*{density}",
               book.pick("lb", "kg"), "baffle_mass", look.WHOLE,
               "Without collars and hangers. Supports checked by a structural engineer; a lift or a crew.", key=True),
        Result("Materials of both boxes", "=2*(baffle_shell_area*baffle_shell_cost+baffle_board_area*baffle_board_cost+baffle_lining_area*baffle_lining_cost)",
               book.pick("USD", "EUR"), "baffle_materials", look.MONEY, "By area with waste; the Take-off sheet orders whole sheets."),
    ):  # fmt: skip
        page.result(entry)
    _box_costs(book, page)
    page.break_here()
    page.heading(
        "Its shell beside the leaf it stands on, and boxes that can be made",
        "no octave from 125 to 4000 Hz may be weaker",
    )
    _head(book, page, label="Transmission loss, dB")
    loss = 'STILL_LEAFTL({0}_layers,"octave",units)'
    rows = {
        key: _row(page, label, f"={_band(loss.format(key))}", number_format=look.ONE)
        for key, label in (("baffle", "Box shell"), (leaf, "The leaf it stands on"))
    }
    less = _row(
        page,
        "Box shell less the leaf",
        f"=ROUND({{c}}{rows['baffle']}-{{c}}{rows[leaf]},6)",
        number_format=look.ONE,
        strong=True,
    )
    page.put(
        less,
        RATING,
        f"=MIN({_column(2)}{less}:{_column(7)}{less})",
        font=look.STRONG,
        number_format=look.ONE,
        border=look.ROW,
    )
    book.name("baffle_shell_less", page, less, RATING)
    book.name("baffle_leaf_loss", page, rows[leaf], BAND, last=_range(rows[leaf]).split(":")[1])
    room, target, box = (f"{{c}}{row}" for row in (places.rows["room"], places.heard["target"], places.loss["box"]))
    spared = f"{{c}}{places.rows['sum']}+{box}-{room}-{target}+{SPARE}"
    inlet = _band("STILL_CROSSTALKPOWER(source_outside,duct_width,duct_height,units)")
    wanted = _row(
        page, f"Loss wanted of the box, {SPARE} dB to spare",
        f"=MAX(0,MAX({{c}}{places.rows['fan']},{inlet}+3)-{spared})", number_format=look.WHOLE,
    )  # fmt: skip
    book.name("baffle_wanted", page, wanted, BAND, last=_range(wanted).split(":")[1])
    mass, loss = book.pick("lb", "kg"), book.pick("in.wg", "Pa")
    _head(book, page, label=f"Passage, lining · outside, {small}", before=("", f"Mass, {mass}", f"Loss, {loss}"))
    ask = "STILL_BAFFLEBOX(airflow,quiet_speed,baffle_wanted,baffle_most_length,baffle_most_width,baffle_most_height,baffle_layers,baffle_leaf_loss,units)"
    formats = ("", look.WHOLE, book.pick("0.0000", look.TWO))
    for place in range(2, BOXES + 2):
        passes, width, height, lining, pressure, *octaves, mass, out, across, tall = (
            f"INDEX({ask},{place},{column})" for column in (1, 2, 3, 4, 7, *range(8, 16), 19, 16, 17, 18)
        )
        outside = '&" × "&'.join(f'TEXT({size},"0")' for size in (out, across, tall))
        none = "none: allow more space or speed, or two boxes" if place == 2 else ""
        row = page.row(
            (f'=IFERROR(IF({passes}=0,"open box, ",{passes}&" passes, ")&{width}&" × "&{height}&", "&{lining}&" · "&{outside},"{none}")', None,
             *(f'=IFERROR({found},"")' for found in (mass, pressure, *octaves))),
            ("text", *formats, *[look.WHOLE] * len(OCTAVES)),
        )  # fmt: skip
        page.sheet.cell(row, FIRST).alignment = look.LEFT
    page.note(
        "Smallest first; none is beaten by another in size, pressure and height at once. Write the one you take on the Inputs sheet. "
        "0 passes is an open box with its openings at opposite corners. Lining in the air people breathe needs a facing that holds "
        "its fibres, a fire rating by the local code, and a lid to clean it through."
    )


def _box_costs(book: Book, page: Page) -> None:
    """Cost of a unit of area of shell, baffle and lining, with waste."""
    sheet = "sheet_width*sheet_height"
    board = "INDEX(price_costs,MATCH({0},price_codes,0))*(1+board_waste)/(" + sheet + ")"
    shell = "+".join(
        f'IF(OR(baffle_material_{n}="",N(baffle_count_{n})=0),0,baffle_count_{n}*{board.format(f"baffle_material_{n}")})'
        for n in range(1, LAYERS + 1)
    )
    lining = 'INDEX(price_costs,MATCH("LINING",price_codes,0))*(1+board_waste)'
    per = f"{book.pick('USD', 'EUR')}/{book.pick('ft²', 'm²')}"
    for label, formula, name in (
        ("Materials of its shell", f"={shell}", "baffle_shell_cost"),
        ("Materials of its baffles", f"=IF(baffle_passes<2,0,{board.format('baffle_board')})", "baffle_board_cost"),
        ("Materials of its lining", f"={lining}", "baffle_lining_cost"),
    ):
        page.result(Result(label, formula, per, name, look.PRICE))


def _results(book: Book, page: Page) -> None:
    page.heading("What is heard", "air and outside together, at the nearest seat")
    loss = book.pick("in.wg", "Pa")
    for entry in (
        Result("Heard at the seat, NC", "=nc_all", "", "", look.ONE, "Supply, return, and sound from outside through ducts, boxes and shell.", key=True),
        Result("Target, NC", "=nc_target", "", "", look.WHOLE),
        Result("Verdict", '=IF(nc_all<=nc_target,"within","over")', "", "air_verdict", look.GENERAL, key=True),
        Result("Change first", "=change_octave", "Hz", "", look.WHOLE),
        Result("Fan works against", "=fan_system_loss", loss, "", book.pick(look.THREE, look.ONE), "Both paths where the return has no fan of its own."),
        Result("Fan speed", "=fan_speed", "of full", "", look.PERCENT, "Set by the speed control; sound falls with the fifth power of the speed."),
        Result("Room over its surroundings", f'=IF(return_fan="{NO_FAN}",return_loss,0)', loss, "room_pressure", book.pick(look.THREE, look.ONE),
               "Pushes on the doors and out through every leak; with a fan each way the two must be balanced."),
    ):  # fmt: skip
        page.result(entry)
        if entry.label == "Change first":
            page.put(
                page.at - 1,
                FIRST + 3,
                '=change_first&": "&change_words',
                font=look.QUIET,
                align=look.LEFT,
                border=look.ROW,
            )
    page.caution(
        "Caution: lined ducts and boxes stand in the air that people breathe, and heavy boxes hang over them: facing, fire rating, "
        "supports and access by the local code, a structural engineer and licensed trades."
    )

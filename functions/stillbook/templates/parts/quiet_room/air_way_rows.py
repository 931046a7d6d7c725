"""The ways of the air on the Air path sheet, one element a row: pressure, losses, the fan and the air's own sound."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import AIR_SPEED, LEVEL, PRESSURE
from stillbook.templates import look
from stillbook.templates.calls import nth
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import bands, octaves
from stillbook.templates.parts.inputs import TRANSFER_DUCT
from stillbook.templates.parts.octaves import ALONG, SILENT
from stillbook.templates.parts.quiet_room.air_ways import (
    ELEMENTS,
    FAN_IN,
    FAN_OUT,
    HAS_FAN,
    HAS_FLEXIBLE,
    HAS_NO_BOX,
    NOISY,
    OUT,
    SILENCER,
    SUPPLY,
    Fan,
    Places,
    Way,
    WayRows,
    box_walls,
)

LOSS: Final = get_column_letter(FIRST + 3)
"""Column of the pressure that an element takes."""

LABELS: Final = {
    "change": "Fan collar to duct",
    "duct": "Lined duct",
    "elbows": "Elbows",
    "box": "Baffle box",
    "grille": "Grille, with the widening to it",
    "end": "Open end",
}
"""What the elements of the supply are called where there is neither a silencer nor flexible duct."""

_FLEXIBLE: Final = '=IF({0},"Flexible duct and grille","{1}")'
SUPPLY_LABELS: Final = LABELS | {
    "change": f'="{LABELS["change"]}"&IF({SUPPLY.silenced},", silencer","")',
    "grille": _FLEXIBLE.format(HAS_FLEXIBLE, LABELS["grille"]),
}
OUT_LABELS: Final = LABELS | {
    "change": f'=IF({HAS_FAN},"Outlet, fan collar to duct","Outlet")&IF({OUT.silenced},", silencer","")',
    "grille": _FLEXIBLE.format(HAS_FLEXIBLE, "Grille, with the narrowing from it"),
}
_WEAK_WALLS: Final = (
    "Flexible duct: its walls let nearly all that it loses out into what it runs through, and noise from there in, which is not worked out here: "
    f"keep it inside the shell, in a quiet void. At most {ALONG} dB of loss count for a whole path."
)
_SILENT_ROW: Final = 2
"""Height of the blank row of an element in which the air makes no sound [pt]: a path takes a row for each element."""

OUT_NAME: Final = f'IF({HAS_NO_BOX},"transfer duct","return")'
"""What the way out is called in the middle of a sentence."""


def pressures(book: Book, page: Page, places: Places) -> None:
    """Both ways, with what the supply fan works against."""
    loss = book.unit(PRESSURE)
    page.heading("The supply path, one element a row", "pressure, and what each takes off the sound, dB")
    _head(book, page)
    places.supply = _elements(book, page, SUPPLY, SUPPLY_LABELS, "path_loss", "Pressure loss of the supply path")
    page.skip()
    page.heading(
        f'=IF({HAS_NO_BOX},"The lined transfer duct, one element a row","The return path, one element a row")',
        "in the order of its sound towards the room; the air goes the other way",
    )
    _head(book, page)
    places.out = _elements(book, page, OUT, OUT_LABELS, "return_loss", "Pressure loss of the way out", places.supply.loss)
    together = f"=path_loss+IF({HAS_FAN},0,return_loss)"
    formats = octaves.of_an_element(book)
    against = octaves.row(page, "What the supply fan works against", None, before=(None, None, together), formats=formats, strong=True)
    book.name("fan_system_loss", page, against, FIRST + 3, comment=book.result_comment("fan_system_loss", "Pressure the supply fan works against", loss))
    usual = (
        f"Rectangular unless said. At most {ALONG} dB of loss count for a whole path: beyond that, sound runs along its walls. "
        "A ceiling diffuser, damper or bend at the end takes the end's reflection away."
    )
    page.note(usual)
    page.sheet.cell(page.at - 1, FIRST).value = f'=IF({HAS_FLEXIBLE},"{_WEAK_WALLS}","{usual}")'


def _head(book: Book, page: Page) -> None:
    before = ("Size", f"Air, {book.unit(AIR_SPEED)}", f"Loss, {book.unit(PRESSURE)}")
    octaves.head(page, label="Element", before=before)


def _elements(book: Book, page: Page, way: Way, labels: Mapping[str, str], name: str, title: str, alike: Mapping[str, int] | None = None) -> WayRows:
    """The rows of a way and their sum; what is the same as in the rows ``alike`` is taken from there."""
    places = WayRows()
    digits = octaves.of_an_element(book)
    losses = dict(way.losses(book))
    if alike:
        same = {key: f"{{c}}{row}" for key, row in alike.items()}
        losses |= {"grille": same["grille"], "end": same["end"], "box": way.boxed(same["box"], "0")}
    first = page.at
    if not way.leaves:
        _before_fan(book, page, places)
    pressures, about = way.pressures(book), _about(way)
    for key in ELEMENTS:
        row = octaves.row(page, labels[key], f"={losses[key]}", before=(*about[key], f"={pressures[key]}"), formats=digits, number_format=look.WHOLE)
        places.pressure[key] = places.loss[key] = row
    for row in places.pressure.values():
        page.sheet.cell(row, FIRST + 1).alignment = look.RIGHT
    if way.leaves:
        page.name("speed_outlet", places.pressure["change"], FIRST + 2)
    summed = "=" + "+".join(f"{{c}}{row}" for row in places.loss.values())
    places.sum = octaves.row(
        page,
        "The path",
        summed,
        before=(None, None, f"=SUM({LOSS}{first}:{LOSS}{page.at - 1})"),
        formats=digits,
        strong=True,
        number_format=look.WHOLE,
        border=look.TOTAL_ROW,
    )
    book.name(name, page, places.sum, FIRST + 3, comment=book.result_comment(name, title, book.unit(PRESSURE)))
    octaves.name(page, way.losses_name, places.loss["change"], places.loss["end"])
    return places


def _before_fan(book: Book, page: Page, places: WayRows) -> None:
    """Intake and filter of the supply, which take pressure and no sound that counts."""
    fast = '=STILL_DUCTVELOCITY(airflow,fan_collar,"",units)'
    elbow = 'IF(inlet_straight="",0,STILL_FANINLETLOSS(airflow,fan_collar,1,inlet_straight,"none",units))'
    intake = f'=grille_loss+STILL_FITTINGLOSS(airflow,fan_collar,"","entrance",1,units)+{elbow}'
    for key, label, before in (
        ("intake", '=IF(inlet_straight="","Intake and fan collar","Intake, elbow close before the fan")', ('=TEXT(fan_collar,"0")&" round"', fast, intake)),
        ("filter", "Filter", (None, None, "=filter_loss")),
    ):
        places.pressure[key] = octaves.row(page, label, None, before=before, formats=octaves.of_an_element(book))
    book.name("speed_collar", page, places.pressure["intake"], FIRST + 2)


def _about(way: Way) -> Mapping[str, tuple[str, str]]:
    """Size and air speed of each element."""
    size = '=TEXT({0},"0")&" × "&TEXT({1},"0")'
    fast = "=STILL_DUCTVELOCITY({0},units)"
    duct = size.format(way.width, way.height)
    speed = "=speed_return" if way.leaves else "=speed_duct"
    collar = f'STILL_DUCTVELOCITY({way.airflow},{way.collar},"",units)'
    passage = size.format("baffle_width", "baffle_height")[1:]
    free = f"{fast.format(way.grille)}/grille_free"
    return {
        "change": (duct, f"=IF({HAS_FAN},{collar},speed_return)" if way.leaves else "=speed_collar"),
        "duct": (duct, speed),
        "elbows": (f'={way.elbows}&" square"', speed),
        "box": ("=" + way.boxed(passage, '"none"'), "=" + way.boxed(fast.format(way.box)[1:], '""')),
        "grille": (size.format("grille_width", "grille_height"), fast.format(way.grille)),
        "end": ("=open_end", free),
    }


# --- sound ------------------------------------------------------------------------------------------------------------


def sounds(book: Book, page: Page, places: Places) -> None:
    """The sound power along both ways."""
    page.heading("Sound power along the supply path", "of the fan, of the air in each element, and left after each, dB re 1 pW")
    octaves.head(page, label="Fan")
    _maker(book, page, FAN_IN, "fan", "Maker's figures at full speed, if you have them")
    supply = FAN_IN.sound("airflow", "fan_system_loss", _turning(FAN_IN))
    places.rows["fan"] = octaves.row(page, "Fan, at the speed of this estimate", f"={supply}", strong=True, called="fan_sound")
    _along(page, SUPPLY, SUPPLY_LABELS, places.supply)
    page.skip()
    page.heading(
        f'=IF({HAS_NO_BOX},"Sound power along the transfer duct","Sound power along the return path")',
        "its fan if it has one, the air in each element, and left after each, dB re 1 pW",
    )
    octaves.head(page, label="Fan")
    _maker(book, page, FAN_OUT, "return_fan", "Its maker's figures; blank is as the supply fan")
    own = FAN_OUT.sound("way_out_airflow", "return_loss", _turning(FAN_OUT))
    label, own = f'=IF({HAS_FAN},"Return fan, at its speed","No fan in it")', f"=IF({HAS_FAN},{own},{SILENT})"
    places.rows["return_fan"] = octaves.row(page, label, own, strong=True, called="return_fan_sound")
    _along(page, OUT, OUT_LABELS, places.out)


def _turning(fan: Fan) -> str:
    """The speed of a fan, full where none gives the airflow."""
    return f"IF({fan.speed}=0,1,{fan.speed})"


def _along(page: Page, way: Way, labels: Mapping[str, str], places: WayRows) -> None:
    octaves.head(page, label="Made by the air in")
    noises, first = way.noises(), page.at
    for key in ELEMENTS:
        if key in NOISY:
            label = f'=IF({way.silenced},"Silencer","No silencer")' if key == SILENCER else labels[key]
            places.noise[key] = octaves.row(page, label, f"={noises[key]}")
        else:
            page.sheet.row_dimensions[page.at].height = _SILENT_ROW
            page.skip()
    octaves.name(page, way.noises_name, first, page.at - 1)
    octaves.head(page, label="Left after")
    steps = f"=INDEX(STILL_PATHSTEPS({way.fan_name},{way.losses_name},{way.noises_name}),{{k}},{{n}})"
    octaves.rows(page, [labels[key] for key in ELEMENTS], steps)
    page.ink(page.at - 1, look.STRONG)


def _maker(book: Book, page: Page, fan: Fan, called: str, label: str) -> None:
    """The boxed row of the sound power that the maker of a fan gives; its inputs are ``called`` so."""
    row = page.at
    page.rule(row)
    page.put(row, FIRST, label, border=look.ROW).alignment = look.UNWRAPPED
    for number, hz in enumerate(octaves.OCTAVES):
        whose = "Fan" if fan == FAN_IN else "Fan of the way out,"
        entry = book.input(f"{called}_sound_{hz}", f"{whose} sound power, {hz} Hz", LEVEL, None, 0, 130, optional=True).saying(
            "At full speed, from the maker's sheet; all eight."
        )
        page.input_cell(row, octaves.BAND + number, entry)
    given = bands.given(octaves.spectrum(row), len(octaves.OCTAVES))
    page.put(row, octaves.RATING, given, font=look.QUIET, number_format=bands.GIVEN)
    book.name(fan.given, page, row, octaves.RATING)
    octaves.name(page, fan.maker, row)
    page.sheet.row_dimensions[row].height = 17
    page.at += 1


# --- privacy ----------------------------------------------------------------------------------------------------------


def outwards(book: Book, page: Page, places: Places, shell_area: str) -> None:
    """What both ways and the shells of their boxes let out, as parts of the shell they go through."""
    page.heading("Sound out through them", "as parts of the shell: no octave of speech, 250 to 4000 Hz, should be weaker in the way out")
    octaves.head(page, label="Transmission loss, dB")
    name = f'IF({HAS_NO_BOX},"{TRANSFER_DUCT.capitalize()}","Return path")'
    _related(page, "Supply path, related to the shell", SUPPLY, shell_area, "out_of_supply")
    way = _related(page, f'={name}&", related to the shell"', OUT, shell_area, "out_of_way_out")
    _boxes(book, page, places, shell_area)
    shell = octaves.row(page, "The shell, with its doors and holes", "=" + nth("shell_loss"), number_format=look.WHOLE)
    octaves.less(page, "Way out over the shell", way, shell, 3, "={}", "way_out_less")


def _related(page: Page, label: str, way: Way, shell_area: str, called: str) -> int:
    """The row of a way as a part of the shell."""
    loss = f"STILL_CROSSTALKTL(grille_width,grille_height,{shell_area},{way.outwards_name},units)"
    return octaves.row(page, label, "=" + nth(loss), number_format=look.WHOLE, called=called)


def off_outwards(book: Book, page: Page, places: Places) -> None:
    """What both ways take off the room's sound on its way out, below what is printed: it gets in through the walls of the flexible duct."""
    page.heading("Taken off the room's sound on its way out", "the loss of flexible duct left out, dB")
    octaves.head(page, label="Way")
    for label, way, rows in (("Supply path", SUPPLY, places.supply), ("Way out", OUT, places.out)):
        octaves.row(page, label, f"={{c}}{rows.sum}-IF({HAS_FLEXIBLE},{way.through_walls(book)},0)", called=way.outwards_name)
    page.skip()


def _boxes(book: Book, page: Page, places: Places, shell_area: str) -> None:
    """The shells of the boxes as parts of the room's: power that comes in over what a diffuse field brings to the shell."""
    through = box_walls(book, {key: f"{{c}}{row}" for key, row in places.supply.loss.items()})
    square_metres = f"({shell_area})*{book.pick('0.3048^2', '1')}"
    octaves.row(
        page,
        "Shells of the boxes, related to the shell",
        f"={nth('source_outside')}-10*LOG10(4)+10*LOG10({square_metres})-({through})",
        number_format=look.WHOLE,
        called="out_of_boxes",
    )

"""Changes to the air path as estimated, side by side: what each would sound like at the seat, and what it would cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stillbook.quantities import AIRFLOW, LENGTH, PRESSURE, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.calls import nth
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import octaves
from stillbook.templates.parts.octaves import SILENT
from stillbook.templates.parts.quiet_room.air_way_rows import LABELS, LOSS
from stillbook.templates.parts.quiet_room.air_ways import (
    ELEMENTS,
    FAN_IN,
    FAN_OUT,
    HAS_FAN,
    NOISY,
    OUT,
    SUPPLY,
    Cells,
    Fan,
    Places,
    Way,
    WayRows,
    box_walls,
    opening,
)
from stillbook.templates.parts.quiet_room.upgrades import price


@dataclass(frozen=True)
class Alternative:
    """A change of both ways, with its price in direct cost."""

    label: str
    width: str = "duct_width"
    height: str = "duct_height"
    box_inside: str = "baffle_inside_length"
    box_length: str = "baffle_length"
    changed: tuple[str, ...] = ()
    """Elements whose pressure and loss it changes."""
    noisier: tuple[str, ...] = ()
    """Elements whose own sound it changes."""
    speed: str = ""
    """Share of the speed of the fans, which change nothing else; by the pressure where blank."""
    cost: str = "0"

    def of(self, way: Way) -> Way:
        """A way as this alternative has it."""
        airflow = f"({way.airflow}*{self.speed})" if self.speed else way.airflow
        return replace(way, width=self.width, height=self.height, box_inside=self.box_inside, airflow=airflow)


def room(book: Book, page: Page, places: Places) -> int:
    """The estimate, and room for the changes tried under it; gives the row of the first."""
    loss, flow = book.unit(PRESSURE), book.unit(AIRFLOW)
    page.heading("Changes side by side, both ways alike", "level at the seat, all together; change of the price before tax")
    octaves.head(page, label="Change", before=("Price", f"Air, {flow}", f"Fan, {loss}"), last="NC")
    formats = _formats(book)
    octaves.row(
        page, "As estimated", f"={{c}}{places.heard['all']}", before=("=0", "=airflow", "=fan_system_loss"), formats=formats, last=octaves.NC, strong=True
    )
    first = page.at
    page.at += len(_changes(book))
    page.note(
        "Duct cost is taken to grow with its girth; a larger duct makes less sound of its own, but its lining takes off less. "
        "A slower fan moves less air: the people's air comes first, so take a larger fan "
        "run slowly instead. Materials at the prices of the Unit costs sheet, with overhead, contingency and margin as in this estimate."
    )
    page.skip()
    return first


def _formats(book: Book) -> tuple[str, str, str]:
    """How price, airflow and pressure of a change are shown."""
    return ("+#,##0;-#,##0;0", look.ONE, book.pick(look.THREE, look.ONE))


def _changes(book: Book) -> Sequence[Alternative]:
    girth = "(alt_duct_width+alt_duct_height+4*duct_lining)/(duct_width+duct_height+4*duct_lining)-1"
    cost = 'INDEX(price_costs,MATCH("{0}",price_codes,0))'
    length = f"(duct_length+way_out_length)*(1+framing_waste)*{cost.format('DUCT')}"
    duct = f"({girth})*({length}+(elbow_count+way_out_elbows)*{cost.format('ELBOW')})"
    each = book.units_in(LENGTH, ROOM_LENGTH)
    longer = f"(alt_box_length-baffle_length)/{each}"
    skin = f"2*(baffle_outer_width+baffle_outer_height)/{each}*{longer}"
    baffles = f"MAX(0,baffle_passes-1)*baffle_inside_height/{each}*{longer}"
    faces = f"2*(baffle_inside_width+baffle_inside_height)/{each}*{longer}"
    box = f"baffle_boxes*(({skin})*baffle_shell_cost+({baffles})*baffle_board_cost+({faces}+2*{baffles})*baffle_lining_cost)"
    return (
        Alternative(
            '="Duct of "&TEXT(alt_duct_width,"0")&" × "&TEXT(alt_duct_height,"0")',
            "alt_duct_width",
            "alt_duct_height",
            changed=("change", "duct", "elbows", "box", "grille"),
            noisier=("change", "duct", "elbows"),
            cost=duct,
        ),
        Alternative(
            f'="Box "&TEXT(alt_box_length,"0")&" {book.unit(LENGTH)} long"',
            box_inside="(baffle_inside_length+alt_box_length-baffle_length)",
            box_length="alt_box_length",
            changed=("box",),
            cost=box,
        ),
        Alternative(
            '="Fan at "&TEXT(alt_fan_speed,"0%")&" of its speed"&IF(airflow*alt_fan_speed<airflow_people*0.999999,": too little air","")',
            noisier=NOISY,
            speed="alt_fan_speed",
        ),
    )


@dataclass(frozen=True)
class _Changed:
    """One way as an alternative has it, by its formulas."""

    called: str
    """Start of the names of what it takes off and of the sound made in it."""
    way: Way
    rows: WayRows
    losses: Cells
    noises: Cells
    """Of the elements that are changed alone."""
    pressure: str
    """What it takes."""

    @property
    def losses_name(self) -> str:
        """The name of what each element takes off."""
        return f"{self.called}_losses" if self.losses else self.way.losses_name

    @property
    def noises_name(self) -> str:
        """The name of the sound made in each element."""
        return f"{self.called}_noises" if self.noises else self.way.noises_name

    def loss(self, key: str) -> str:
        """What an element takes off, in one octave."""
        return f"INDEX({self.losses_name},{ELEMENTS.index(key) + 1},{{n}})"

    @property
    def off(self) -> str:
        """What it takes off the sound, all together."""
        return "+".join(map(self.loss, ELEMENTS))

    def end(self, fan: int) -> str:
        """Sound power that it leaves in the room, with that of its fan in a row."""
        return nth(f"STILL_PATHLEVEL({octaves.spectrum(fan)},{self.losses_name},{self.noises_name})")

    def write(self, page: Page) -> None:
        """Write the rows of what it changes, with those of the elements that it leaves as they are: a path takes them all."""
        for said, name, changed, rows in (
            ("Off by: ", self.losses_name, self.losses, self.rows.loss),
            ("Air in: ", self.noises_name, self.noises, {key: self.rows.noise[key] for key in NOISY}),
        ):
            if changed:
                first = page.at
                cells = {key: f"{{c}}{row}" for key, row in rows.items()} | dict(changed)
                for key in ELEMENTS:
                    octaves.row(page, said + LABELS[key].lower(), f"={cells[key]}" if key in cells else None, quiet=True)
                octaves.name(page, name, first, page.at - 1)


def _both_ways(book: Book, alternative: Alternative, places: Places, number: int) -> tuple[_Changed, _Changed]:
    """The supply and the way out as an alternative has them."""
    return (
        _changed(book, alternative, SUPPLY, places.supply, f"alternative_{number}"),
        _changed(book, alternative, OUT, places.out, f"alternative_{number}_out"),
    )


def _changed(book: Book, alternative: Alternative, way: Way, rows: WayRows, called: str) -> _Changed:
    new = alternative.of(way)
    pressures = {key: f"{LOSS}{row}" for key, row in rows.pressure.items()}
    pressures |= {key: cell for key, cell in new.pressures(book).items() if key in alternative.changed}
    pressure = "+".join(pressures.values())
    if alternative.speed:
        pressure = f"{LOSS}{rows.sum}*{alternative.speed}^2"
    return _Changed(
        called,
        new,
        rows,
        {key: cell for key, cell in new.losses(book).items() if key in alternative.changed},
        {key: cell for key, cell in new.noises().items() if key in alternative.noisier},
        pressure,
    )


def _alternative(page: Page, at: int, number: int, alternative: Alternative, formats: tuple[str, str, str], ways: tuple[_Changed, _Changed]) -> int:
    """The row of what is heard at the row ``at``, and what goes into it at the page's next free row, of which it gives the first."""
    supply, out = ways
    first = page.at
    fan, _, _, out_fan, _, _ = range(first, first + 6)
    pressure = f"{LOSS}{at}"
    for label, formula, before in (
        ("Fan", f"={_fan(alternative, FAN_IN, supply.way.airflow, pressure)}", None),
        ("Taken off by the supply path", f"={supply.off}", None),
        ("At its end, with the air's own sound", f"={supply.end(fan)}", None),
        ("Fan of the return", f"=IF({HAS_FAN},{_fan(alternative, FAN_OUT, out.way.airflow, f'{LOSS}{out_fan}')},{SILENT})", f"={out.pressure}"),
        ("Taken off by the way out", f"={out.off}", None),
        ("At its end, with the air's own sound", f"={out.end(out_fan)}", None),
    ):
        octaves.row(page, label, formula, before=(None, None, before), formats=formats, quiet=True)
    end, page.at = page.at, at
    octaves.row(
        page,
        alternative.label,
        "=" + nth(f"STILL_PATHSUM(alternative_{number}_sounds)"),
        before=(price(alternative.cost), f"={supply.way.airflow}", f"={supply.pressure}+IF({HAS_FAN},0,{LOSS}{out_fan})"),
        formats=formats,
        last=octaves.NC,
    )
    page.at = end
    for suffix, column in (("price", FIRST + 1), ("airflow", FIRST + 2), ("loss", FIRST + 3), ("nc", octaves.RATING)):
        page.book.name(f"alternative_{number}_{suffix}", page, at, column)
    return first


def workings(book: Book, page: Page, places: Places, changes_at: int) -> None:
    """The changes from the row ``changes_at`` on, and what goes into each, element by element and sound by sound."""
    for number, alternative in enumerate(_changes(book), start=1):
        ways = supply, out = _both_ways(book, alternative, places, number)
        page.heading(alternative.label, "its fans and ways, the elements that it changes, and each sound at the seat, dB")
        octaves.head(page, label="Fans and ways")
        steps = _alternative(page, changes_at + number - 1, number, alternative, _formats(book), ways)
        octaves.head(page, label="Supply")
        supply.write(page)
        octaves.head(page, label="Way out")
        out.write(page)
        octaves.head(page, label="At the seat")
        _, off, end, _, out_off, out_end = (f"{{c}}{steps + place}" for place in range(6))
        room, size = f"{{c}}{places.rows['room']}", f"{alternative.width},{alternative.height}"
        boxes = box_walls(book, {key: supply.loss(key) for key in ELEMENTS}, alternative.box_length)
        first = page.at
        for label, level in (
            ("Supply", f"{end}-{room}"),
            ("Way out", f"{out_end}-{room}"),
            ("Outside, in at the intake", f"{opening(size, off)}-{room}"),
            ("Outside, in at the way out", f"{opening(size, out_off)}-{room}"),
            ("Outside, through the shells of the boxes", f"MAX({boxes}-{room},{SILENT})"),
            ("Outside, through the room's shell", nth("shell_inside")),
        ):
            octaves.row(page, label, f"={level}", quiet=True)
        octaves.name(page, f"alternative_{number}_sounds", first, page.at - 1)
        page.skip()


def _fan(alternative: Alternative, fan: Fan, airflow: str, pressure: str) -> str:
    """Sound power of a fan against another pressure, or at a share of its speed, in one octave."""
    met = f"IFERROR({airflow}/STILL_FANFLOW({fan.curve},{airflow},{pressure},units),{fan.speed})"
    new = f"{fan.speed}*{alternative.speed}" if alternative.speed else met
    return fan.sound(airflow, pressure, f"MAX(0.01,{new})")

"""The ways of the air: what each element of a way takes in pressure and in sound, and the sound the air makes in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH
from stillbook.templates.calls import nth
from stillbook.templates.page import Book
from stillbook.templates.parts.inputs import FLEXIBLE, IN_A_VOID, IN_BOTH_WAYS, RETURN_FAN, TRANSFER_DUCT
from stillbook.templates.parts.octaves import ALONG, SILENT

ELEMENTS: Final = ("change", "duct", "elbows", "box", "grille", "end")
"""Elements of a way in the order of the sound, from its outer end into the room."""

SILENCER: Final = "change"
"""The element that a silencer is part of."""

NOISY: Final = (SILENCER, "duct", "elbows", "box", "grille")
"""Elements in which the air makes sound of its own."""

HAS_SILENCER: Final = "silencer_counts=1"
"""Whether a silencer stands in the supply; what is needed to count it is told."""

HAS_FLEXIBLE: Final = "N(flex_length)>0"
"""Whether the last piece before the grilles is flexible."""

HAS_FAN: Final = f'air_leaves="{RETURN_FAN}"'
"""Whether a fan of its own stands in the return."""

HAS_NO_BOX: Final = f'air_leaves="{TRANSFER_DUCT}"'
"""Whether the air leaves through a duct without a baffle box."""

ALIKE: Final = "return_fan_alike=1"
"""Whether the fan of the way out is of the supply fan's kind and curve."""

Cells = Mapping[str, str]
"""Formulas, or cells that hold them, by element."""


@dataclass(frozen=True)
class Way:
    """A way of the air through the shell, by the names or formulas of what may differ in it."""

    losses_name: str
    outwards_name: str
    noises_name: str
    fan_name: str
    """Names of the cells of its losses, of what it takes off the room's sound on its way out, its noises, and the sound of its fan."""
    airflow: str
    length: str
    elbows: str
    grille_loss: str
    grille_coefficient: str
    width: str = "duct_width"
    height: str = "duct_height"
    box_inside: str = "baffle_inside_length"
    collar: str = "fan_collar"
    """Diameter of the collar of its fan."""
    leaves: bool = False
    """Whether the air leaves the room by it. Its sound comes towards the room all the same."""

    @property
    def duct(self) -> str:
        """Airflow and size of the duct, as arguments."""
        return f"{self.airflow},{self.width},{self.height}"

    @property
    def box(self) -> str:
        """Airflow and passage of the box, as arguments."""
        return f"{self.airflow},baffle_width,baffle_height"

    @property
    def grille(self) -> str:
        """Airflow and face of the grille, as arguments."""
        return f"{self.airflow},grille_width,grille_height"

    @property
    def silenced(self) -> str:
        """Whether a silencer stands in it, as a condition."""
        return f'AND({HAS_SILENCER},silencer_ways="{IN_BOTH_WAYS}")' if self.leaves else HAS_SILENCER

    @property
    def face(self) -> tuple[str, str]:
        """Width and height of the silencer's face: as typed, or the duct's."""
        return f"IF(N(silencer_width)>0,silencer_width,{self.width})", f"IF(N(silencer_height)>0,silencer_height,{self.height})"

    def flexible(self, book: Book) -> str:
        """Diameter of the flexible duct: as typed, or of a round duct as large as this one, as far as losses are known."""
        least, most = (book.pick(*size) for size in FLEXIBLE)
        return f"IF(N(flex_diameter)>0,flex_diameter,MAX({least},MIN({most},SQRT(4/PI()*{self.width}*{self.height}))))"

    def boxed(self, formula: str, otherwise: str) -> str:
        """A formula of the box, and what stands for it where the way has none."""
        return f"IF({HAS_NO_BOX},{otherwise},{formula})" if self.leaves else formula

    def through_walls(self, book: Book) -> str:
        """What the flexible duct loses, in one octave: it leaves through its walls, and so does not count where it runs in the room."""
        return f'IF(flex_runs="{IN_A_VOID}",{nth(f"STILL_FLEXDUCTLOSS({self.flexible(book)},flex_length,units)")},0)'

    def pressures(self, book: Book) -> Cells:
        """Pressure that each element takes."""
        change = "STILL_TRANSITIONLOSS({0},{1},{2},units)"
        fitting = 'STILL_FITTINGLOSS({0},"{1}",1,units)'
        collar, duct = f'{self.collar},""', f"{self.width},{self.height}"
        passage, grille = "baffle_width,baffle_height", "grille_width,grille_height"
        at_collar = f"{self.airflow},{collar}"
        flexible = f'{self.flexible(book)},""'
        at_flexible = f"{self.airflow},{flexible}"
        if self.leaves:
            by_fan = f"{change.format(self.duct, collar, 'collar_length')}+{fitting.format(at_collar, 'exit')}"
            first = f"{self.grille_loss}+IF({HAS_FAN},{by_fan},{fitting.format(self.duct, 'exit')})"
            at_grille, end = change.format(self.grille, duct, 0), "entrance"
            both_ends = f"{change.format(self.grille, flexible, 0)}+{change.format(at_flexible, duct, 0)}"
        else:
            first = change.format(at_collar, duct, "collar_length")
            at_grille, end = change.format(self.duct, grille, 0), "exit"
            both_ends = f"{change.format(self.duct, flexible, 0)}+{change.format(at_flexible, grille, 0)}"
        silencer = f"IF(N(silencer_pressure)=0,0,STILL_RATEDLOSS({self.airflow},airflow,silencer_pressure,units))"
        along = f'STILL_DUCTLOSS({at_flexible},flex_length,"flexible",flex_slack,units)'
        box = (
            f"IF(baffle_passes=0,{fitting.format(self.box, 'box')},"
            f"STILL_LABYRINTHPRESSURE({self.box},{self.box_inside},baffle_passes,units))"
            f"+{change.format(self.duct, passage, 0)}+{change.format(self.box, duct, 0)}"
        )
        bends = f'STILL_FITTINGLOSS({self.duct},"square elbow",{self.elbows},"lined",units)'
        return {
            "change": f"{first}+IF({self.silenced},{silencer},0)",
            "duct": f'STILL_DUCTLOSS({self.duct},{self.length},"lined",units)',
            "elbows": f"IF({self.elbows}=0,0,{bends})",
            "box": self.boxed(box, "0"),
            "grille": f"{self.grille_loss}+IF({HAS_FLEXIBLE},{both_ends}+{along},{at_grille})",
            "end": fitting.format(self.grille, end),
        }

    def losses(self, book: Book) -> Cells:
        """Sound that each element takes off, in one octave."""
        thin = book.pick("0.5", "12")
        area, grille = f"{self.width}*{self.height}", "grille_width*grille_height"
        opening = "baffle_width*baffle_height"
        round_to_duct = nth(f"STILL_AREACHANGELOSS(PI()/4*{self.collar}^2,{area},units)")
        step = f"IF(collar_length=0,{round_to_duct},0)"
        bare = nth(f"STILL_UNLINEDDUCTLOSS({self.width},{self.height},{self.length},units)")
        lined = nth(f"STILL_LINEDDUCTLOSS({self.width},{self.height},{self.length},duct_lining,units)")
        hollow = nth(f"STILL_BAFFLEBOXLOSS({self.box_inside},baffle_inside_width,baffle_inside_height,{opening},{opening},baffle_lining,baffle_offset,units)")
        turned = nth(f"STILL_LABYRINTHLOSS(baffle_width,baffle_height,{self.box_inside},baffle_passes,baffle_lining,units)")
        elbows = nth(f"STILL_ELBOWLOSS({self.width},duct_lining,{self.elbows},units)")
        round_area = f"PI()/4*({self.flexible(book)})^2"
        both_ends = f"{nth(f'STILL_AREACHANGELOSS({area},{round_area},units)')}+{nth(f'STILL_AREACHANGELOSS({round_area},{grille},units)')}"
        along = self.through_walls(book)
        plain = nth(f"STILL_AREACHANGELOSS({area},{grille},units)")
        first = f"IF({HAS_FAN},{step},0)" if self.leaves else step
        return {
            "change": f"{first}+IF({self.silenced},INDEX(silencer_losses,{{n}},1),0)",
            "duct": f"IF(duct_lining<{thin},{bare},{lined})",
            "elbows": f"IF({self.elbows}=0,0,{elbows})",
            "box": self.boxed(f"IF(baffle_passes=0,{hollow},{turned})", "0"),
            "grille": f"IF({HAS_FLEXIBLE},{both_ends}+{along},{plain})",
            "end": nth("STILL_ENDREFLECTION(grille_width,grille_height,open_end,units)"),
        }

    def noises(self) -> Cells:
        """Sound power that the air makes in an element, in one octave."""

        def made(arguments: str) -> str:
            return nth(f"STILL_AIRFLOWNOISE({arguments},units)")

        elbow = made(f'{self.duct},"square elbow"')
        turn = made(f'{self.box},"square elbow"')
        turns = f"IF(baffle_passes<2,{SILENT},{turn}+10*LOG10(MAX(1,2*(baffle_passes-1))))"
        face, high = ",".join(self.face), self.face[1]
        faced = f"STILL_DUCTVELOCITY({self.airflow},{face},units)"
        # Where the air is more than four times slower than measured, the level at a quarter of that velocity stands, which is more.
        makers = nth(f"STILL_SILENCERNOISE(silencer_noises,MIN(silencer_speed,{_SLOWER}*{faced}),{self.airflow},{face},silencer_face,units)")
        estimate = nth(f"STILL_SPLITTERNOISE({self.airflow},silencer_gap,{high},silencer_gaps,units)")
        return {
            SILENCER: f'IF({self.silenced},IF(silencer_given=1,{makers},{estimate}),"")',
            "duct": made(f'{self.duct},"duct"'),
            "elbows": f"IF({self.elbows}=0,{SILENT},{elbow}+10*LOG10(MAX(1,{self.elbows})))",
            "box": self.boxed(turns, str(SILENT)),
            "grille": made(f'{self.grille},"grille",{self.grille_coefficient}') + ("" if self.leaves else f"+{_DAMPED}"),
        }


_SLOWER: Final = 3.999
"""How many times slower than measured the air in a silencer may be, just inside what its formula takes."""

_DAMPED: Final = "IF(N(damper_ratio)>1,STILL_THROTTLEDOUTLET(damper_ratio,damper_place),0)"
"""What a damper that is turned down adds to the sound of the supply's grille."""

SUPPLY: Final = Way(
    losses_name="path_losses",
    outwards_name="path_off_outwards",
    noises_name="path_noises",
    fan_name="fan_sound",
    airflow="airflow",
    length="duct_length",
    elbows="elbow_count",
    grille_loss="grille_loss",
    grille_coefficient="grille_coefficient",
)

OUT: Final = Way(
    losses_name="return_losses",
    outwards_name="return_off_outwards",
    noises_name="return_noises",
    fan_name="return_fan_sound",
    airflow="way_out_airflow",
    length="way_out_length",
    elbows="way_out_elbows",
    grille_loss="way_out_grille_loss",
    grille_coefficient="way_out_grille_coefficient",
    collar="way_out_collar",
    leaves=True,
)
"""The return duct with its box, with or without a fan of its own, or a lined transfer duct without a box."""


@dataclass(frozen=True)
class Fan:
    """A fan, by the names of its cells."""

    curve: str
    speed: str
    """The speed that gives its airflow, as a share of full speed; 0 where its curve does not."""
    kind: str
    share: str
    margin: str
    given: str
    """Whether its maker gives its sound: 1, or -1 where octaves are missing."""
    maker: str
    """What its maker gives, at full speed."""
    like: Fan | None = None
    """The fan that it is like where no more is known of it."""

    def sound(self, airflow: str, pressure: str, speed: str) -> str:
        """Sound power at a speed, in one octave: its maker's, else of its kind against a pressure."""
        known = nth(f"STILL_FANSOUND({airflow},{pressure},{self.kind},{self.share},units)")
        otherwise = f"{known}+{self.margin}"
        if self.like:
            otherwise = f"IF(AND({self.like.given}=1,{ALIKE}),{self._scaled(self.like.maker, speed)},{otherwise})"
        return f"IF({self.given}=1,{self._scaled(self.maker, speed)},{otherwise})"

    @staticmethod
    def _scaled(maker: str, speed: str) -> str:
        return nth(f'STILL_FANSCALED({maker},"sound",{speed})')


FAN_IN: Final = Fan("fan_curve", "fan_speed", "fan_type", "fan_share", "fan_margin", "fan_given", "fan_maker")
FAN_OUT: Final = Fan(
    "return_fan_curve", "return_fan_speed", "way_out_fan_type", "way_out_fan_share", "way_out_fan_margin", "return_fan_given", "return_fan_maker", FAN_IN
)
"""The fan of the way out, where it has one."""

PARTLY_GIVEN: Final = f"OR({FAN_IN.given}<0,AND({HAS_FAN},{FAN_OUT.given}<0))"
"""Whether octaves are missing of what the maker of a fan gives: what is heard waits for them."""


def opening(size: str, losses: str) -> str:
    """Sound power that comes in from outside by an opening and the path behind it, in one octave."""
    return f"{nth(f'STILL_CROSSTALKPOWER(source_outside,{size},units)')}-MIN({losses},{ALONG})"


def box_walls(book: Book, losses: Cells, length: str = "baffle_length") -> str:
    """Sound power of the sound outside that gets in through the shells of the boxes, in one octave."""
    each = book.units_in(LENGTH, ROOM_LENGTH)
    call = f"STILL_BREAKINPOWER(source_outside,baffle_outer_width,baffle_outer_height,{length}/{each},baffle_layers,units)"
    return f"{nth(call)}+10*LOG10(baffle_boxes)-({losses['box']})/2-({losses['grille']})-{losses['end']}"


@dataclass
class WayRows:
    """Rows of one way on the sheet, by element."""

    pressure: dict[str, int] = field(default_factory=dict)
    loss: dict[str, int] = field(default_factory=dict)
    noise: dict[str, int] = field(default_factory=dict)
    sum: int = 0


@dataclass
class Places:
    """Rows of the sheet by what they hold."""

    supply: WayRows = field(default_factory=WayRows)
    out: WayRows = field(default_factory=WayRows)
    heard: dict[str, int] = field(default_factory=dict)
    rows: dict[str, int] = field(default_factory=dict)

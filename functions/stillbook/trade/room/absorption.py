"""What surfaces absorb: the table of surfaces, wool by its thickness, and the absorption of a whole room.

Coefficients stand in six octave bands, 125 to 4000 Hz: no table reaches further, and below them a small room does not
follow its surfaces but its modes.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Annotated, Any, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import Missing, NotUnderstood, as_rows, is_blank
from stillbook.formula import formula
from stillbook.quantities import ABSORPTION_AREA, AREA, LENGTH, NUMBER, SHARE, System
from stillbook.readers import Choice, Places, Quantity, Reader, Text, Vector
from stillbook.results import Number, Numbers, UnderHeadings
from stillbook.tables import table
from stillbook.trade.mass.materials import material_key
from stillbook.trade.physics.fibrous import wool
from stillbook.trade.physics.sound import SPEED_OF_SOUND, Spectrum, round_half_up

BANDS: Final = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
"""Octave bands in which surfaces are measured [Hz]."""

COEFFICIENT: Final = Quantity(SHARE, least=0, most=1.5)
"""How a coefficient is read; a laboratory may find more than 1, since the edges of its sample absorb too."""

Coefficients = npt.NDArray[np.float64]
"""Absorption coefficients, the octave bands along the last axis."""

CoefficientResult = Annotated[Spectrum, Numbers(SHARE)]

# --- the table of surfaces --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Surface:
    """A row of the table: coefficients in six octaves, where they come from and how they are known."""

    name: str
    group: str
    coefficients: tuple[float, ...]
    source: str
    confidence: str


@cache
def surfaces() -> Mapping[str, Surface]:
    """The table of surfaces by spelling key, see :func:`stillbook.trade.mass.materials.material_key`."""
    return {
        material_key(row["surface"]): Surface(
            row["surface"],
            row["group"],
            tuple(float(row[f"f{band:.0f}"]) for band in BANDS),
            row["source"],
            row["confidence"],
        )
        for row in table("absorption")
    }


@cache
def surface_groups() -> tuple[str, ...]:
    """The groups of the table, in file order."""
    return tuple(dict.fromkeys(surface.group for surface in surfaces().values()))


def find_surface(text: str, name: str) -> Surface:
    """The surface of that name, whatever its letter case and commas.

    Raises:
        NotUnderstood: If there is none; the reason names those that come near.
    """
    key = material_key(text)
    known = surfaces().get(key)
    if known is not None:
        return known
    words = {word for word in key.split() if len(word) > 2}
    near = {
        other: len(words & set(other.split())) + difflib.SequenceMatcher(None, key, other).ratio()
        for other in surfaces()
    }
    best = [other for other in sorted(near, key=lambda other: -near[other])[:2] if near[other] > 0.6]
    hint = " or ".join(f'"{surfaces()[other].name}"' for other in best)
    raise NotUnderstood(
        f'{name}: the surface "{text[:60]}" is not in the table: '
        + (f"did you mean {hint}?" if hint else "give a name from STILL_SURFACES, or coefficients")
    )


# --- readers ----------------------------------------------------------------------------------------------------------


class SurfaceRows(Reader):
    """What surfaces absorb, one a row: a name from the table, one coefficient, or six of them by octave.

    A single row of other than six cells holds one surface in each cell. A row that is blank throughout is NaN, so that
    the rows keep their places beside a list of areas. The trade function takes rows of six octaves, or of one where
    no row tells octaves apart.
    """

    broadcasts = False

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return (COEFFICIENT,)

    def label(self, system: System) -> str:
        return "rows of a surface's name, one coefficient, or six from 125 to 4000 Hz"

    def read(self, value: Any, name: str, system: System) -> Coefficients:
        rows = as_rows(value)
        if len(rows) == 1 and len(rows[0]) != len(BANDS):
            rows = [[cell] for cell in rows[0]]
        if len(rows[0]) not in (1, len(BANDS)):
            raise NotUnderstood(f"{name} has {len(rows[0])} columns: give {self.label(system)}")
        read = [
            self._row(row, name if len(rows) == 1 else f"{name}, row {number}", system)
            for number, row in enumerate(rows, start=1)
        ]
        width = max(map(len, read))
        return np.array([cells * width if len(cells) == 1 else cells for cells in read], dtype=np.float64)

    def _row(self, cells: list[Any], name: str, system: System) -> list[float]:
        if all(is_blank(cell) for cell in cells):
            return [np.nan]
        if len(cells) > 1:
            return [
                COEFFICIENT.read(cell, f"{name}, {band:.0f} Hz", system)
                for cell, band in zip(cells, BANDS, strict=True)
            ]
        (cell,) = cells
        if isinstance(cell, str) and not cell.strip()[:1].isdigit() and not cell.strip().startswith("."):
            return list(find_surface(cell, name).coefficients)
        return [COEFFICIENT.read(cell, name, system)]


SurfaceAbsorption = Annotated[Coefficients, SurfaceRows()]
SurfaceAreas = Annotated[Coefficients, Places(Quantity(AREA, least=0, most=1_000_000))]
OtherAbsorption = Annotated[
    Spectrum | None, Vector(Quantity(ABSORPTION_AREA, least=0, most=1_000_000), lengths=(1, len(BANDS)))
]


def absorbing(
    areas: npt.NDArray[np.float64], absorption: Coefficients, objects: Spectrum | None
) -> tuple[float, Spectrum, Spectrum]:
    """Give the area of all surfaces [m²], what they absorb by octave [m²], and what else absorbs [m²].

    Raises:
        NotUnderstood: If there are not as many areas as surfaces.
        Missing: If a surface has an area but no absorption, or an absorption but no area.
    """
    if len(areas) != len(absorption):
        raise NotUnderstood(
            f"there are {len(areas)} areas and {len(absorption)} surfaces: give one row of absorption for each area"
        )
    unknown = np.asarray(np.isnan(absorption).any(axis=-1))
    for number, (area, blank) in enumerate(zip(areas.tolist(), unknown.tolist(), strict=True), start=1):
        if blank and area > 0:
            raise Missing(f"row {number} has an area but no absorption: give a surface or a coefficient beside it")
        if np.isnan(area) and not blank:
            raise Missing(f"row {number} has no area: give one, or 0, beside its absorption")
    used = ~np.isnan(areas) & ~unknown
    if not used.any():
        raise Missing("areas are blank: give the area of each surface")
    other = np.zeros(1) if objects is None else np.asarray(objects)
    return float(areas[used].sum()), (areas[used, None] * absorption[used]).sum(axis=0), other


# --- formulas ---------------------------------------------------------------------------------------------------------


@formula(
    "ABSORPTION",
    family="Inside the room",
    summary="Absorption coefficients of a surface by octave, 125 to 4000 Hz",
    example=('STILL_ABSORPTION("Carpet, heavy, on concrete")', (0.02, 0.06, 0.14, 0.37, 0.6, 0.65)),
    source="The source beside each surface in STILL_SURFACES",
    vectorised=False,
)
def absorption_of(surface: Annotated[str, Text()]) -> CoefficientResult:
    """Give the absorption coefficient of a surface in six octaves.

    Measured in reverberation rooms, where two laboratories differ by 0.1 and more. A maker's own test of the product
    goes before any table.

    Args:
        surface: Name of the surface in the table.

    Raises:
        NotUnderstood: If the table has no such surface; the reason names those that come near.
    """
    return np.array(find_surface(surface, "surface").coefficients)


@formula(
    "SURFACES",
    family="Inside the room",
    summary="The table of surfaces with what they absorb by octave, and the source of each",
    example=(
        'STILL_SURFACES("Floors")',
        (
            "Surface",
            "Group",
            "125 Hz",
            "250 Hz",
            "500 Hz",
            "1000 Hz",
            "2000 Hz",
            "4000 Hz",
            "Source",
            "How it is known",
        ),
    ),
    source="The source beside each surface in its table",
    vectorised=False,
)
def list_surfaces(
    group: Annotated[str | None, Choice(*surface_groups())] = None,
) -> Annotated[
    list[tuple[Any, ...]],
    UnderHeadings(
        ("Surface", None),
        ("Group", None),
        *((f"{band:.0f} Hz", SHARE) for band in BANDS),
        ("Source", None),
        ("How it is known", None),
    ),
]:
    """List the surfaces that the formulas know by name, each with six coefficients and their source.

    Args:
        group: Only this group of surfaces; all of them when left out.
    """
    return [
        (s.name, s.group, *s.coefficients, s.source, s.confidence)
        for s in surfaces().values()
        if group in (None, s.group)
    ]


@formula(
    "NRCRATING",
    family="Inside the room",
    summary="Noise reduction coefficient of a surface from its coefficients by octave",
    example=('STILL_NRCRATING(STILL_ABSORPTION("Carpet, heavy, on concrete"))', 0.3),
    source="ASTM C423: mean of 250, 500, 1000 and 2000 Hz, to the nearest 0.05",
    vectorised=False,
)
def nrc_rating(
    coefficients: Annotated[Spectrum, Vector(COEFFICIENT, lengths=(len(BANDS),))],
) -> Annotated[float, Number(SHARE)]:
    """Give the noise reduction coefficient, one number that says nothing of bass.

    NRC = (α250 + α500 + α1000 + α2000) / 4 to the nearest 0.05, with the coefficient α of each octave.

    Args:
        coefficients: Coefficients in six octaves, 125 to 4000 Hz.
    """
    middle = [value for value, band in zip(coefficients, BANDS, strict=True) if 250 <= band <= 2000]
    return round_half_up(float(np.mean(middle)) * 20) / 20


_IN_AN_OCTAVE: Final = 2.0 ** (np.arange(-5.5, 6) / 12)
_ANGLES: Final = (np.arange(90) + 0.5) * np.pi / 180


@formula(
    "WOOLABSORPTION",
    family="Inside the room",
    summary="Absorption by octave, 125 to 4000 Hz, of fibrous wool on a wall or over an air space",
    example=(
        'STILL_WOOLABSORPTION("50 mm")',
        (0.143284083, 0.328215749, 0.588182737, 0.821556311, 0.925889127, 0.952481992),
    ),
    source="Miki, J. Acoust. Soc. Jpn. (E) 11 (1990); over all angles as Paris, Phil. Mag. 5 (1928)",
    vectorised=False,
)
def wool_absorption(
    thickness: Annotated[float, Quantity(LENGTH, least=0.005, most=1)],
    air_space: Annotated[float, Quantity(LENGTH, least=0, most=2)] = 0.0,
    flow_resistivity: Annotated[float, Quantity(NUMBER, least=1000, most=100_000)] = 10_000.0,
) -> CoefficientResult:
    """Give the absorption coefficient of wool by octave, for sound from all sides on a surface without end.

    α(θ) = 1 - |(z cos θ - 1) / (z cos θ + 1)|² by the angle θ, averaged with the weight 2 sin θ cos θ. On a wall
    z = -j Z / tan(q t); over air of depth d z = Z (Za + j Z tan(q t)) / (Z + j Za tan(q t)), where
    Za = -j / [tan(k d cos θ) cos θ]. Here Z = Zw kw / q, q = √(kw² - k² sin²θ), k = 2π f / c with frequency f and
    speed of sound c, t is the thickness, and Miki gives the wool's impedance Zw over that of air and wave number kw.

    A reverberation room finds about a quarter more at 250 and 500 Hz, 0.1 more at 125 and 1000 Hz, since the edges of
    its sample absorb too. Panels set apart on a wall act like that sample; a wall covered from corner to corner is
    nearer to the figure here, which is the safe one. An open fabric changes little; a film, paint or board over the
    wool takes the high octaves away. Fabric, wool and foam inside a room must meet the local code's rules for fire.

    Args:
        thickness: Thickness of the wool [m].
        air_space: Depth of air between wool and wall; none when left out [m].
        flow_resistivity: Resistance of the wool to flow, in Pa·s/m² in both unit systems: light wool near 24 kg/m³
            (1.5 lb/ft³) about 10000, board of 48 to 80 kg/m³ 15000 to 40000.

    Returns:
        Coefficients at 125 to 4000 Hz, each the mean over its octave.
    """
    return np.array(_wool(thickness, air_space, flow_resistivity))


@lru_cache(maxsize=256)
def _wool(thickness: float, air_space: float, flow_resistivity: float) -> tuple[float, ...]:
    """The coefficients of a layer of wool over air over a hard wall, by the impedance each layer hands to the next."""
    frequency = (np.array(BANDS)[:, None] * _IN_AN_OCTAVE)[..., None]
    cosine, sine = np.cos(_ANGLES), np.sin(_ANGLES)
    characteristic, in_wool = wool(frequency, flow_resistivity)
    in_air = 2 * np.pi * frequency / SPEED_OF_SOUND
    inward = np.sqrt(in_wool**2 - (in_air * sine) ** 2)
    impedance = characteristic * in_wool / inward
    through = np.tan(inward * thickness)
    if air_space:
        behind = -1j / (np.tan(in_air * cosine * air_space) * cosine)
        surface = impedance * (behind + 1j * impedance * through) / (impedance + 1j * behind * through)
    else:
        surface = -1j * impedance / through
    absorbed = 1 - np.abs((surface * cosine - 1) / (surface * cosine + 1)) ** 2
    weight = 2 * sine * cosine
    return tuple(((absorbed * weight).sum(axis=-1) / weight.sum()).mean(axis=-1).tolist())


@formula(
    "ROOMABSORPTION",
    family="Inside the room",
    summary="Absorption area of a room by octave: areas times coefficients, and what else absorbs",
    example=('STILL_ROOMABSORPTION({373;1159},{"Concrete or terrazzo floor";"Gypsum board, one layer"})',
             (339.84, 119.63, 63.545, 53.82, 88.59, 111.77)),
    source="A = Σ S α + Σ A: EN 12354-6:2003; ISO 354:2003",
    vectorised=False,
)  # fmt: skip
def room_absorption(
    areas: SurfaceAreas, absorption: SurfaceAbsorption, objects: OtherAbsorption = None
) -> Annotated[Spectrum, Numbers(ABSORPTION_AREA)]:
    """Give the absorption area of a room in six octaves, or one value where no surface tells octaves apart [m²].

    A = Σ Si αi + Ao, with the area Si and the coefficient αi of each surface, and the absorption area Ao of all else.

    An absorption area is what a perfect absorber of that size would take; in square feet it is called sabins. Doors and
    windows take their part off the wall they are in, and treatment takes its part off what it covers.

    Args:
        areas: Area of each surface [m²].
        absorption: What each surface absorbs, in the same order.
        objects: Absorption area of people, furniture and air, one value or one for each octave; none when left out.
            A person takes about 0.5 m² (5 ft²) in the middle octaves, common practice [m²].

    Raises:
        NotUnderstood: If there are not as many areas as surfaces, or a surface is not in the table.
        Missing: If a surface has an area but no absorption, or an absorption but no area.
    """
    _, absorbed, other = absorbing(areas, absorption, objects)
    return absorbed + other

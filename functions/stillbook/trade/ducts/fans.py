"""Fans: the airflow they deliver against a system, at another speed, in thin or warm air, and in pairs in one room."""

from __future__ import annotations

import math
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import AIRFLOW, NUMBER, PRESSURE, SMALL_AREA, TEMPERATURE
from stillbook.readers import Choice, Columns, Floats, Quantity
from stillbook.results import Number, SideBySide
from stillbook.trade.air.airflow import ANY_AIRFLOW, SOME_AIRFLOW, AnyAirflow
from stillbook.trade.air.altitude import Altitude, air_thinness
from stillbook.trade.physics.sound import BAND_VALUE, heard

LEAK_FACTOR: Final = 0.83
"""Air through a leak [m³/s] over its area [m²] and the root of the pressure [Pa]."""

ROOM_TEMPERATURE: Final = (70 - 32) / 1.8
_ABSOLUTE_ZERO: Final = -273.15

MOST_PRESSURE: Final = 10_000.0
"""Above any fan of ventilation, where air begins to be compressed [Pa]."""

Curve = tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]
FanCurve = Annotated[
    Curve,
    Columns(("airflow", ANY_AIRFLOW), ("pressure", Quantity(PRESSURE, least=0, most=MOST_PRESSURE))),
]
DesignFlow = Annotated[float, SOME_AIRFLOW]
DesignLoss = Annotated[float, Quantity(PRESSURE, above=0, most=MOST_PRESSURE)]
SpeedRatio = Annotated[Floats, Quantity(NUMBER, least=0.01, most=10)]
LeakArea = Annotated[Floats, Quantity(SMALL_AREA, above=0, most=10)]


# --- one fan ----------------------------------------------------------------------------------------------------------


@formula(
    "FANFLOW",
    family="Ducts",
    summary="Airflow a fan delivers through a system, from the fan's curve and one known point of the system",
    example=("STILL_FANFLOW({0,0.5;100,0.375;200,0},120,0.375)", 112.3474979488466),
    source="System curve as the square of airflow, crossing the fan curve: common practice, no source",
    vectorised=False,
)
def fan_flow(curve: FanCurve, design_flow: DesignFlow, design_loss: DesignLoss) -> Annotated[float, Number(AIRFLOW)]:
    """Give the airflow at which the fan's pressure equals the system's loss [m³/s].

    Q where P(Q) = R Q² with R = Δp / Qd²: on a straight piece P = a + b Q of the fan curve the airflow is
    Q = [b + √(b² + 4 R a)] / 2R, with the design airflow Qd and the loss Δp at it.

    The loss goes with the square of the airflow through the design point. Between its points the fan curve runs
    straight, as a ruler on a chart would have it: on a curve that bulges upward a few points give a little less air
    than the fan does, and more points come closer.

    At another speed of the fan the airflow changes by the same ratio, so the design airflow divided by this airflow is
    the speed ratio that gives the design airflow. Above 1 the fan is too small.

    Args:
        curve: Two columns from the maker's curve, airflow and pressure.
        design_flow: Airflow at which the system's loss is known [m³/s].
        design_loss: Loss of the whole system at that airflow [Pa].

    Raises:
        OutOfRange: If the curve is too short to be crossed, gives one airflow twice, or is crossed more than once.
    """
    flow, pressure = _in_order(curve)
    resistance = design_loss / design_flow**2
    spare = pressure - resistance * flow**2
    if spare[0] < 0:
        raise OutOfRange("the system takes more pressure than the fan has at the least airflow of its curve")
    if spare[-1] > 0:
        raise OutOfRange("the fan curve ends before the system curve meets it: give points of less pressure")
    crossings = [
        i for i in range(len(flow) - 1) if spare[i] > 0 >= spare[i + 1] or (i == 0 and spare[0] == 0 > spare[1])
    ]
    if len(crossings) != 1:
        raise OutOfRange("the system curve meets the fan curve more than once: the fan would hunt, choose another")
    first = crossings[0]
    return _meeting((flow[first : first + 2], pressure[first : first + 2]), resistance)


def _in_order(curve: Curve, *, falling: bool = False) -> Curve:
    """A fan curve sorted by airflow.

    Raises:
        OutOfRange: If it has less than two points, gives one airflow twice, or rises where it must fall.
    """
    order = np.argsort(curve[0], kind="stable")
    flow, pressure = curve[0][order], curve[1][order]
    if len(flow) < 2 or (np.diff(flow) <= 0).any():
        raise OutOfRange("the fan curve needs two or more points, each at an airflow of its own")
    if falling and (np.diff(pressure) >= 0).any():
        raise OutOfRange("the fan curve must fall from point to point: leave out the points left of its peak")
    return flow, pressure


def _meeting(piece: Curve, resistance: float, against: float = 0.0) -> float:
    """Airflow where a straight piece of a fan curve meets a system that also works against a fixed pressure."""
    (q1, q2), (p1, p2) = piece
    slope = (p2 - p1) / (q2 - q1)
    start = p1 - slope * q1 - against
    # The root of start + slope q = resistance q² that lies on a falling piece.
    return float((slope + math.sqrt(slope**2 + 4 * resistance * start)) / (2 * resistance))


@formula(
    "FANPRESSURE",
    family="Ducts",
    summary="Pressure a fan has at an airflow, from its curve, also at another speed",
    example=("STILL_FANPRESSURE({0,0.5;100,0.375;200,0},120)", 0.3),
    source="Straight lines between the points of the curve; fan laws for the speed: common practice, no source",
    no_answer="the fan curve does not reach this airflow: give more points, a higher speed or less air",
)
def fan_pressure(
    curve: FanCurve,
    airflow: AnyAirflow,
    speed_ratio: SpeedRatio = 1.0,
) -> Annotated[Floats, Number(PRESSURE)]:
    """Give the fan's pressure at an airflow [Pa]: less the loss of the path, it is what the fan has to spare.

    p = r² P(Q / r), with the curve P, the airflow Q and the speed ratio r.

    NaN beyond the ends of the curve.

    Args:
        curve: Two columns from the maker's curve, airflow and pressure.
        airflow: Airflow asked for [m³/s].
        speed_ratio: Speed over the speed of the curve.

    Raises:
        OutOfRange: If the curve is too short or gives one airflow twice.
    """
    flow, pressure = _in_order(curve)
    found = np.interp(np.asarray(airflow) / speed_ratio, flow, pressure, left=np.nan, right=np.nan)
    had: Floats = (found * np.square(speed_ratio))[()]
    return had


_NO_PRESSURE: Final = 1e-9
"""What the search for a balance leaves of no pressure at all [Pa]."""

_FAN_LAWS: Final[dict[str, int]] = {"airflow": 1, "pressure": 2, "power": 3}


@formula(
    "FANSCALED",
    family="Ducts",
    summary="A fan's airflow, pressure, power or sound level at another speed",
    example=('STILL_FANSCALED(0.4,"pressure",0.8)', 0.256),
    no_answer="a sound level is -50 to 200 dB: give the level of one fan and a speed it can have",
    source="Fan laws, common practice; sound as 50 log10 of the speed ratio, AMCA practice, from memory",
)
def fan_scaled(
    value: Annotated[Floats, Quantity(NUMBER, least=-1e6, most=1e6)],
    kind: Annotated[str, Choice(*_FAN_LAWS, "sound")],
    speed_ratio: SpeedRatio,
) -> Annotated[Floats, Number(NUMBER)]:
    """Give a fan's value at another speed, in the unit it was given in.

    v2 = v1 r^n with n = 1 for airflow, 2 for pressure, 3 for power; L2 = L1 + 50 log10 r for sound; r is the speed
    ratio.

    Airflow goes with the speed ratio, pressure with its square, power with its cube; a sound level rises by
    50 log10 of it, and one under -50 dB is given as -50. One fan, one system, the same air.

    Args:
        value: Value at the present speed.
        kind: What the value is.
        speed_ratio: New speed over present speed.
    """
    if kind == "sound":
        level = heard(np.asarray(value) + 50 * np.log10(speed_ratio))
        known = (np.asarray(value) >= BAND_VALUE.least) & (np.asarray(value) <= BAND_VALUE.most)
        moved: Floats = np.where(known & (level <= BAND_VALUE.most), level, np.nan)[()]
        return moved
    scaled: Floats = value * speed_ratio ** _FAN_LAWS[kind]
    return scaled


@formula(
    "DENSITYFACTOR",
    family="Ducts",
    summary="Density of air at an altitude and temperature as a share of standard air's",
    example=("STILL_DENSITYFACTOR(5000)", 0.832085434984217),
    source="Perfect gas law; US Standard Atmosphere 1976; standard air at 70 °F and sea level",
)
def density_factor(
    altitude: Altitude = 0.0,
    temperature: Annotated[Floats, Quantity(TEMPERATURE, least=-50, most=100)] = ROOM_TEMPERATURE,
) -> Annotated[Floats, Number(NUMBER)]:
    """Give the density of dry air over that of standard air.

    D = [p(h) / p(0)] (273.15 + 21.1) / (273.15 + t), with the pressure p of the standard atmosphere at the altitude h,
    and the temperature t [°C].

    Multiply by it any loss of a duct, fitting or grille, and any pressure and power of a fan from its curve, at the
    same airflow. A fan and its path then meet at the same airflow as in standard air: it is the heat the air carries,
    and the pressure left for a filter, that shrink. Friction of smooth duct falls a little less than by the factor.

    Args:
        altitude: Height above the sea [m].
        temperature: Temperature of the air in the duct [°C].
    """
    share: Floats = (
        np.asarray(air_thinness(altitude))
        * (ROOM_TEMPERATURE - _ABSOLUTE_ZERO)
        / (np.asarray(temperature) - _ABSOLUTE_ZERO)
    )[()]
    return share


# --- the room between two fans ----------------------------------------------------------------------------------------


@formula(
    "ROOMPRESSURE",
    family="Ducts",
    summary="Pressure in a room whose supply and extract airflows differ, by the area of its leaks",
    example=("STILL_ROOMPRESSURE(35,30,2)", 0.0194904492293759),
    source="Q = 0.83 A √Δp (m³/s, m², Pa), EN 12101-6; NFPA 92 has 2610 A √Δp (cfm, ft², in.wg), 1 % more airflow",
)
def room_pressure(supply: AnyAirflow, extract: AnyAirflow, leak_area: LeakArea) -> Annotated[Floats, Number(PRESSURE)]:
    """Give the pressure of the room over its surroundings [Pa], negative where more is extracted.

    Δp = ± [(Qs - Qe) / (0.83 A)]² with the sign of Qs - Qe, where Qs is the supply, Qe the extract and A the leak area.

    The difference of the airflows finds its way through what leaks there are. In a well sealed room a few cfm too many
    hold a door shut or whistle in its seals, and a fan alone, with no way for make-up air, moves next to nothing: give
    it a lined transfer duct, count that duct's losses to its path, and give its free area here. Keep the force on the
    door, pressure times half its area, far below what the smallest person there can push: local codes set a limit.

    Args:
        supply: Air blown in, 0 where only an extract fan runs [m³/s].
        extract: Air drawn out, 0 where only a supply fan runs [m³/s].
        leak_area: Free area of all leaks and make-up openings together [m²].
    """
    extra = np.asarray(supply, dtype=np.float64) - extract
    pressure: Floats = (np.sign(extra) * (extra / (LEAK_FACTOR * np.asarray(leak_area))) ** 2)[()]
    return pressure


@formula(
    "FANBALANCE",
    family="Ducts",
    summary="Airflows of a supply and an extract fan in one room, and the room's pressure",
    example=(
        "STILL_FANBALANCE({0,0.5;200,0},120,0.3,{0,0.5;200,0},120,0.2,2)",
        (109.804916315141, 115.546674973866, -0.0257022834331671),
    ),
    source="System curves as the square of airflow; leaks by Q = 0.83 A √Δp (m³/s, m², Pa), EN 12101-6",
    vectorised=False,
)
def fan_balance(
    supply_curve: FanCurve,
    supply_flow: DesignFlow,
    supply_loss: DesignLoss,
    extract_curve: FanCurve,
    extract_flow: DesignFlow,
    extract_loss: DesignLoss,
    leak_area: Annotated[float, Quantity(SMALL_AREA, above=0, most=10)],
) -> Annotated[
    tuple[float, ...],
    SideBySide(("Supply airflow", AIRFLOW), ("Extract airflow", AIRFLOW), ("Room pressure", PRESSURE)),
]:
    """Give the supply and extract airflows [m³/s] and the room's pressure over its surroundings [Pa].

    Ps(Qs) = Rs Qs² + p, Pe(Qe) = Re Qe² - p and Qs - Qe = ± 0.83 A √|p| with the sign of p, solved for the supply Qs,
    the extract Qe and the room's pressure p; Ps and Pe are the fan curves, R = Δp / Q² is known of each path, A is the
    leak area.

    The stronger fan raises or lowers the room's pressure until the two airflows differ by what leaks. A tight room
    evens them out, a leaky one leaves each fan to itself.

    Args:
        supply_curve: Airflow and pressure of the supply fan, two columns.
        supply_flow: Airflow at which the loss of the supply path is known [m³/s].
        supply_loss: Loss of the supply path at that airflow [Pa].
        extract_curve: Airflow and pressure of the extract fan, two columns.
        extract_flow: Airflow at which the loss of the extract path is known [m³/s].
        extract_loss: Loss of the extract path at that airflow [Pa].
        leak_area: Free area of all leaks and make-up openings together [m²].

    Raises:
        OutOfRange: If a curve is too short, rises, or ends before the fans come into balance.
    """
    from fluids.numerics import brenth

    supply = _in_order(supply_curve, falling=True), supply_loss / supply_flow**2
    extract = _in_order(extract_curve, falling=True), extract_loss / extract_flow**2

    def gain(pressure: float) -> float:
        """Air the room gains at a pressure; falls as the pressure rises."""
        leak = math.copysign(LEAK_FACTOR * leak_area * math.sqrt(abs(pressure)), pressure)
        return _against(*supply, pressure) - _against(*extract, -pressure) - leak

    highest, lowest = float(supply[0][1][0]), -float(extract[0][1][0])
    pressure = float(brenth(gain, lowest, highest, xtol=1e-12))  # type: ignore[no-untyped-call]
    if abs(pressure) < _NO_PRESSURE:
        pressure = 0.0
    airflows = _against(*supply, pressure), _against(*extract, -pressure)
    for (curve, _), airflow, name in ((supply, airflows[0], "supply"), (extract, airflows[1], "extract")):
        if not curve[0][0] <= airflow <= curve[0][-1]:
            end = "at more airflow and less pressure" if airflow > curve[0][-1] else "at less airflow"
            raise OutOfRange(f"the {name} fan's curve ends before the fans come into balance: give points {end}")
    return (*airflows, pressure)


def _against(curve: Curve, resistance: float, against: float) -> float:
    """Airflow of a falling fan curve through a system that also works against a fixed pressure.

    Before its first point the curve is taken as level, beyond its last as going on straight, so that there is always an
    answer; 0 where the fan cannot overcome the pressure.
    """
    flow, pressure = curve
    if pressure[0] <= against:
        return 0.0
    spare = pressure - resistance * flow**2 - against
    if spare[0] <= 0:
        return math.sqrt((float(pressure[0]) - against) / resistance)
    first = min(int(np.argmax(np.append(spare <= 0, True))), len(flow) - 1) - 1
    return _meeting((flow[first : first + 2], pressure[first : first + 2]), resistance, against)

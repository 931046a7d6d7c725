"""Air for the people in a small sealed room: how much they need, and how often it fills the room."""

from __future__ import annotations

from typing import Annotated, Final

from stillbook.formula import formula
from stillbook.quantities import AIRFLOW, AREA, NUMBER, SHARE, VOLUME, System
from stillbook.readers import Choice, Floats, Quantity
from stillbook.results import Number
from stillbook.tables import table
from stillbook.trade.air.people import People
from stillbook.trade.physics.constants import CFM, FOOT

AIR_PER_PERSON: Final = 15 * CFM

MOST_AIRFLOW: Final = 100.0
"""More than the largest air handler moves [m³/s]; common practice, no source."""

_SPACES: Final = {row["space"]: row for row in table("outdoor_air")}

SOME_AIRFLOW: Final = Quantity(AIRFLOW, above=0, most=MOST_AIRFLOW)
ANY_AIRFLOW: Final = Quantity(AIRFLOW, least=0, most=MOST_AIRFLOW)
Airflow = Annotated[Floats, SOME_AIRFLOW]
AnyAirflow = Annotated[Floats, ANY_AIRFLOW]
Volume = Annotated[Floats, Quantity(VOLUME, least=0.1, most=100_000)]
FloorArea = Annotated[Floats, Quantity(AREA, least=0.01, most=100_000)]


@formula(
    "OCCUPANTAIRFLOW",
    family="Air",
    summary="Outdoor air for the people in a room, at so much a person",
    example=("STILL_OCCUPANTAIRFLOW(2)", 30.0),
    source="common practice, no source; 15 cfm is also the least rate of ASHRAE 62-1989 Table 2",
)
def occupant_airflow(
    people: People, per_person: Annotated[Floats, Quantity(AIRFLOW, above=0, most=0.1)] = AIR_PER_PERSON
) -> Annotated[Floats, Number(AIRFLOW)]:
    """Give the outdoor airflow for a number of people [m³/s].

    A local code may ask for more: compare with STILL_OUTDOORAIRFLOW. It says nothing of heat: see
    STILL_TEMPERATURERISE.

    Q = n q, with n people and q the air for each.

    Args:
        people: People in the room at its fullest.
        per_person: Outdoor air for each person [m³/s].
    """
    return people * per_person


@formula(
    "OUTDOORAIRFLOW",
    family="Air",
    summary="Outdoor air a ventilation code asks for, by kind of space, people and floor area",
    example=('STILL_OUTDOORAIRFLOW("studio or stage",1,24)', 11.44),
    source="Breathing-zone procedure of ASHRAE 62.1 and International Mechanical Code section 403.3; rates by row",
)
def outdoor_airflow(
    space_type: Annotated[str, Choice(*_SPACES)],
    people: People,
    floor_area: FloorArea,
    effectiveness: Annotated[Floats, Quantity(SHARE, least=0.5, most=1.5)] = 1.0,
    outdoor_share: Annotated[Floats, Quantity(SHARE, least=0.01, most=1)] = 1.0,
    *,
    units: System = "US",
) -> Annotated[Floats, Number(AIRFLOW)]:
    """Give the airflow that brings the outdoor air of the breathing-zone procedure [m³/s]: a rate a person and an area.

    The codes print each rate twice, rounded on its own: 5 cfm stands beside 2.5 L/s, which is 6 % more. A US workbook
    uses the printed cfm, an SI workbook the printed L/s, so that each agrees with the code its reviewer holds.
    Editions and places differ, and the local code rules.

    The code counts outdoor air alone. Air from a neighbouring room is outdoor air only by a share: what its ventilation
    brings in fresh and its own people have not used. Who knows the building decides, its engineer with the local code.

    Q = (Rp n + Ra A) / (E f), with Rp the rate a person, n people, Ra the rate an area, A the floor area, E the
    effectiveness and f the outdoor share.

    Args:
        space_type: Kind of space, as the code lists it.
        people: People in the room at its fullest.
        floor_area: Floor area inside the room [m²].
        effectiveness: Share of the supply that reaches the people, 1 for cool air from above, 0.8 for warm air
            from above that leaves from above.
        outdoor_share: Share of outdoor air in what is supplied: 1 where it comes from outdoors, less from a
            neighbouring room.
        units: System of the printed rates.
    """
    row = _SPACES[space_type]
    if units == "US":
        a_person, an_area = float(row["people_cfm"]) * CFM, float(row["area_cfm_ft2"]) * CFM / FOOT**2
    else:
        a_person, an_area = float(row["people_l_s"]) / 1000, float(row["area_l_s_m2"]) / 1000
    return (a_person * people + an_area * floor_area) / (effectiveness * outdoor_share)


@formula(
    "AIRCHANGES",
    family="Air",
    summary="How many times an hour an airflow fills a room",
    example=("STILL_AIRCHANGES(15,168)", 5.357142857142857),
    source="definition",
)
def air_changes(airflow: Airflow, volume: Volume) -> Annotated[Floats, Number(NUMBER)]:
    """Give the air changes an hour: 3600 Q / V, with Q the airflow and V the volume.

    A small room needs many: what counts for people is the airflow each has, not the changes.

    Args:
        airflow: Air through the room [m³/s].
        volume: Volume of air in the room [m³].
    """
    return airflow * 3600 / volume

"""What the way of the air may have besides: a silencer, flexible duct, insulation. Unanswered, each changes nothing."""

import math

import pytest

from stillbook.catalogue import call
from stillbook.templates.parts.octaves import OCTAVES
from stillbook.workbook.file.address import Area
from templates import columns
from templates.columns import JOB, named, together, values

LOSS = (3, 6, 12, 20, 28, 30, 22, 15)
MADE = (50, 48, 45, 42, 40, 36, 30, 25)


def octaves(name, levels):
    return {f"{name}_{hz}": level for hz, level in zip(OCTAVES, levels, strict=True)}


SILENCER = {**octaves("silencer_loss", LOSS), "silencer_pressure": 0.05}
MAKERS = {**SILENCER, **octaves("silencer_noise", MADE), "silencer_speed": 200}


def calculated(changes=None, name="booth-estimate", system="US"):
    job = {**JOB, **(changes or {})}
    if name == "room-conversion":
        job = {key: value for key, value in job.items() if not key.startswith("space")}
    job, report = columns.calculated(name, system, job)
    return job, named(job), {check.rule: check for check in report.failed}


# --- silencers --------------------------------------------------------------------------------------------------------

NOT_COUNTED = {
    "silencer_ways": "both ways",
    "silencer_width": 12,
    "silencer_face": 558,
    "flex_diameter": 6,
    "flex_slack": 0,
    "flex_runs": "in a closed void of it",
    "intake_cover": 0,
}
"""Answers that count for nothing where there is neither a silencer nor flexible duct, and the air is that of a room."""


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
def test_without_silencer_and_flexible_duct_no_number_moves(name):
    _, before, _ = calculated(name=name)
    _, after, _ = calculated(NOT_COUNTED, name)
    typed = [key for key in before if key not in NOT_COUNTED]
    assert [before[key] for key in typed] == [after[key] for key in typed]
    assert (after["silencer_counts"], after["check_silencer"]) == (0, "Not asked")


def test_without_a_silencer_its_element_is_the_change_to_the_duct_alone():
    job, _, _ = calculated()
    assert values(job, "path_noises")[0] == values(job, "return_noises")[0] == [""] * 8
    assert values(job, "heard_levels")[-1] == [""] * 8
    levels = values(job, "heard_levels")[:-1]
    found = named(job)
    assert found["nc_all"] == pytest.approx(call("NCRATING", [[together(*band) for band in zip(*levels, strict=True)]]))


def face():
    """Velocity in the duct of 8 × 6 in at 30 cfm [fpm], over 200; and its area over that of 600 × 600 mm, in dB."""
    return 30 / (8 * 6 / 144) / 200, 10 * math.log10(8 * 6 * 0.0254**2 / 0.36)


def test_a_makers_silencer_takes_off_makes_and_presses_what_its_sheet_says():
    """Long, Architectural Acoustics, 2nd ed., eq. 14.31: 55 log of velocity, 10 log of face area."""
    job, found, _ = calculated(MAKERS)
    without, before, _ = calculated()
    faster, larger = face()
    made = [level + 55 * math.log10(faster) + larger for level in MADE]
    assert values(job, "path_noises")[0] == pytest.approx(made)
    off, was = values(job, "path_losses"), values(without, "path_losses")
    assert off[0] == pytest.approx([a + b for a, b in zip(was[0], LOSS, strict=True)])
    assert off[1:] == was[1:]
    assert found["path_loss"] == pytest.approx(before["path_loss"] + 0.05)
    assert found["return_loss"] == before["return_loss"]
    room = call("ROOMLOSS", 3, 360, values(job, "seat_absorption"))[0]
    heard = values(job, "heard_levels")
    after = [sum(row[band] for row in off[1:]) for band in range(8)]
    assert heard[-1] == pytest.approx([max(-50, made[band] - after[band] - room[band]) for band in range(8)])
    assert found["nc_all"] == pytest.approx(call("NCRATING", [[together(*band) for band in zip(*heard, strict=True)]]))


def test_a_silencer_in_both_ways_stands_in_the_return_as_well():
    job, found, _ = calculated(MAKERS | {"silencer_ways": "both ways"})
    without, before, _ = calculated()
    off, was = values(job, "return_losses"), values(without, "return_losses")
    assert off[0] == pytest.approx([a + b for a, b in zip(was[0], LOSS, strict=True)])
    assert values(job, "return_noises")[0] == pytest.approx(values(job, "path_noises")[0])
    assert found["return_loss"] == pytest.approx(before["return_loss"] + 0.05)
    # Half the air in the return: a quarter of the pressure, by the square law.
    _, slower, _ = calculated(MAKERS | {"silencer_ways": "both ways", "return_airflow": 15})
    _, as_slow, _ = calculated({"return_airflow": 15})
    assert slower["return_loss"] - as_slow["return_loss"] == pytest.approx(0.05 / 4)


def test_far_slower_air_than_measured_is_held_at_a_quarter_of_that_velocity():
    """No level is given for air more than four times slower; that of a quarter of the velocity is more than it makes."""
    job, _, _ = calculated(MAKERS | {"silencer_speed": 2000})
    held = [level + 55 * math.log10(1 / 4) + face()[1] for level in MADE]
    assert values(job, "path_noises")[0] == pytest.approx(held, abs=0.01)


def test_without_the_makers_levels_those_of_a_splitter_silencer_stand():
    """Fry 1988, as in Long, eq. 14.31 and table 14.8: 55 log v + 10 log n + 10 log H - 45, less by octave."""
    job, found, _ = calculated(SILENCER | {"silencer_gap": 1, "silencer_gaps": 2})
    speed = 30 * 0.3048**3 / 60 / (2 * 0.0254 * 6 * 0.0254)
    whole = 55 * math.log10(speed) + 10 * math.log10(2) + 10 * math.log10(6 * 25.4) - 45
    made = [whole - less for less in (4, 4, 6, 8, 13, 18, 23, 28)]
    assert values(job, "path_noises")[0] == pytest.approx(made)
    assert (found["silencer_given"], found["silencer_counts"], found["check_silencer"]) == (0, 1, "Passes")


@pytest.mark.parametrize(
    ("changes", "missing"),
    [
        (octaves("silencer_noise", MADE), "its insertion loss in all eight octaves"),
        (SILENCER | {"silencer_loss_8000": None}, "its insertion loss in all eight octaves"),
        (MAKERS | {"silencer_pressure": None}, "the pressure it takes"),
        (SILENCER, "its self-noise in all eight octaves with the velocity, or its gaps"),
        (MAKERS | {"silencer_noise_500": None}, "its self-noise in all eight octaves with the velocity, or its gaps"),
        (MAKERS | {"silencer_speed": None}, "its self-noise in all eight octaves with the velocity, or its gaps"),
        (
            MAKERS | {"silencer_noise_500": None, "silencer_gap": 1, "silencer_gaps": 2},
            "its self-noise in all eight octaves, with the velocity",
        ),
        (MAKERS | {"silencer_speed": 20}, "levels measured at a velocity nearer to its own"),
    ],
)
def test_a_silencer_that_is_not_told_whole_does_not_count_and_says_so(changes, missing):
    _, before, _ = calculated()
    _, found, failed = calculated(changes)
    assert found["silencer_lacks"] == missing
    assert missing in failed["Silencer: all that it needs is told"].advice
    assert [found[key] for key in ("nc_all", "path_loss", "return_loss")] == [
        before[key] for key in ("nc_all", "path_loss", "return_loss")
    ]


@pytest.mark.parametrize("system", ["US", "SI"])
def test_a_duct_as_estimated_tried_as_an_alternative_has_its_silencer(system):
    made = {"silencer_speed": "200 fpm", **octaves("silencer_noise", MADE), **octaves("silencer_loss", LOSS)}
    pressed = {"silencer_pressure": "12 Pa", "silencer_ways": "both ways"}
    alike = {"alt_duct_width": "8 in", "alt_duct_height": "6 in", "duct_width": "8 in", "duct_height": "6 in"}
    _, found, _ = calculated(made | pressed | alike | {"flex_length": "2 m"}, system=system)
    assert found["alternative_1_nc"] == pytest.approx(found["nc_all"], abs=1e-6)
    assert found["alternative_1_loss"] == pytest.approx(found["fan_system_loss"])


def test_a_silencer_quiets_what_comes_in_by_the_intake():
    without, _, _ = calculated()
    job, _, _ = calculated(MAKERS)
    names = values(job, "heard_names")
    intake = names.index("Outside, in at the intake")
    at_63 = [values(one, "heard_levels")[intake][0] for one in (without, job)]
    assert at_63[1] == pytest.approx(at_63[0] - LOSS[0])


# --- flexible duct ----------------------------------------------------------------------------------------------------

FLEXIBLE = {"flex_diameter": 6, "flex_length": 9}
IN_THE_ROOM = FLEXIBLE | {"flex_runs": "in the room"}
IN_A_VOID = FLEXIBLE | {"flex_runs": "in a closed void of it", "flex_slack": 0.3}
PRINTED = (6, 9, 13, 25, 29, 30, 20, 0)
"""Loss of lined flexible duct of 6 in, 9 ft: Long, Architectural Acoustics, 2nd ed., table 14.4, from ASHRAE 1995."""


def ends():
    """What the changes of area take off, from the duct to the flexible one and on to the grille."""
    circle = math.pi / 4 * 36
    into, out_of = call("AREACHANGELOSS", 48, circle)[0], call("AREACHANGELOSS", circle, 112)[0]
    return [a + b for a, b in zip(into, out_of, strict=True)]


@pytest.mark.parametrize(("duct", "lost"), [(IN_THE_ROOM, (0,) * 8), (IN_A_VOID, PRINTED)])
def test_flexible_duct_loses_as_printed_where_it_does_not_let_it_into_the_room(duct, lost):
    job, _, _ = calculated(duct)
    expected = [a + b for a, b in zip(ends(), lost, strict=True)]
    assert values(job, "path_losses")[4] == pytest.approx(expected)
    assert values(job, "return_losses")[4] == pytest.approx(expected)


def test_the_loss_of_flexible_duct_keeps_nothing_in():
    """Its walls let the room's sound in where it runs: what gets out by the ways is the same without its loss."""
    room, void = (calculated(duct)[0] for duct in (IN_THE_ROOM, IN_A_VOID))
    for name in ("out_of_supply", "out_of_way_out"):
        assert values(room, name)[0] == pytest.approx(values(void, name)[0])


def test_flexible_duct_takes_pressure_by_its_slack():
    _, before, _ = calculated()
    for duct in (IN_THE_ROOM, IN_A_VOID):
        _, found, _ = calculated(duct)
        along = call("DUCTLOSS", 30, 6, None, 9, "flexible", duct.get("flex_slack"))
        wider = call("TRANSITIONLOSS", 30, 8, 6, 6, None) + call("TRANSITIONLOSS", 30, 6, None, 14, 8)
        at_grille = call("TRANSITIONLOSS", 30, 8, 6, 14, 8)
        assert found["path_loss"] - before["path_loss"] == pytest.approx(along + wider - at_grille)


def test_flexible_duct_of_no_stated_diameter_is_as_large_as_the_duct():
    blank, typed = (
        calculated({"flex_length": 9, "flex_runs": "in a closed void of it", **more})[0]
        for more in ({}, {"flex_diameter": math.sqrt(4 / math.pi * 48)})
    )
    assert values(blank, "path_losses")[4] == pytest.approx(values(typed, "path_losses")[4])


def test_the_sheet_warns_of_the_walls_of_flexible_duct():
    job, _, _ = calculated(FLEXIBLE)
    with_it, without = (
        [row[0] for row in one.package.rows("Air path", Area(1, 2, 120, 3)) if isinstance(row[0], str)]
        for one in (job, calculated()[0])
    )
    assert any(said.startswith("Flexible duct: its walls let nearly all that it loses out") for said in with_it)
    assert not any("Flexible duct" in said for said in without)


# --- insulation of the intake duct ------------------------------------------------------------------------------------

COLD = {
    "air_source": "outdoors with recovery",
    "outdoor_temperature": "12 °C",
    "space_temperature": "30 °C",
    "space_humidity": 0.8,
}
"""The worked sheet of condensation on a duct of tests/published: its air is at its dew point at 26.2 °C."""

RULE = "Intake duct: outside of its insulation over the dew point"


@pytest.mark.parametrize(
    ("cover", "outside", "state"),
    [
        # 30 - 18 × 0.125 / (0.125 + d / 0.04): the heat balance of a flat layer, as in ISO 12241.
        ("25 mm", 27.0, "Passes"),
        ("15 mm", 25.5, "Fails"),
        ("0 mm", 12.0, "Fails"),
    ],
)
def test_an_insulated_intake_sweats_where_its_outside_is_under_the_dew_point(cover, outside, state):
    job, found, failed = calculated(COLD | {"intake_cover": cover}, system="SI")
    row = next(row for row in values(job, "checks") if row[0] == RULE)
    assert (row[1], row[2]) == (pytest.approx(outside), pytest.approx(26.2, abs=0.05))
    assert found["check_intake_dry"] == row[6] == state
    if state == "Fails":
        needed = math.ceil(found["intake_insulation"] * 10) / 10
        assert f"insulate it with {needed:.1f} mm or more" in failed[RULE].advice
        assert calculated(COLD | {"intake_cover": needed}, system="SI")[1]["check_intake_dry"] == "Passes"


@pytest.mark.parametrize("changes", [{}, COLD, NOT_COUNTED])
def test_an_intake_of_no_stated_insulation_or_of_room_air_is_not_asked(changes):
    assert calculated(changes)[1]["check_intake_dry"] == "Not asked"


# --- what they cost ---------------------------------------------------------------------------------------------------


def by_code(job, what):
    return dict(zip(values(job, "line_codes"), values(job, what), strict=True))


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
def test_what_stands_in_the_way_is_ordered_and_priced_and_else_costs_nothing(name):
    """Two ways of 4 ft and 10 % of waste: 8.8, so 9 ft; a silencer in each way."""
    without, before, _ = calculated(name=name)
    job, after, _ = calculated(MAKERS | {"silencer_ways": "both ways", "flex_length": 4}, name)
    ordered = by_code(job, "line_quantities")
    assert (ordered["FLEXDUCT"], ordered["SILENCER"]) == (9, 2)
    unit = dict(zip(values(job, "price_codes"), values(job, "price_costs"), strict=True))
    material = 9 * unit["FLEXDUCT"] + 2 * unit["SILENCER"]
    spent = by_code(job, "line_material")
    assert spent["FLEXDUCT"] + spent["SILENCER"] == pytest.approx(material)
    assert after["direct_cost"] - before["direct_cost"] > material
    none = by_code(without, "line_quantities")
    assert (none["FLEXDUCT"], none["SILENCER"]) == (0, 0)


def test_a_silencer_that_does_not_count_is_not_ordered():
    job, _, _ = calculated(SILENCER)
    assert by_code(job, "line_quantities")["SILENCER"] == 0

"""Silencers, junctions, oval ducts, fan inlets, insulation and cooling against print and against worked equations."""

import json
import math

import fluids
import numpy as np
import psychrolib
import pytest

from published.printed import rows
from stillbook.catalogue import call
from stillbook.trade.ducts.oval import oval_area, oval_equivalent, oval_perimeter
from stillbook.trade.physics.constants import INCH
from stillbook.trade.physics.sound import OCTAVES, level_sum
from stillbook.trade.quiet_path.junction_noise import junction_power
from stillbook.trade.quiet_path.noise_ratings import A_WEIGHTING

PARTS = {"COOLINGLOAD sensible": 1, "COOLINGLOAD latent": 2}


@pytest.mark.parametrize("row", rows("procedures"), ids=lambda row: row["case"])
def test_case(row):
    name, expected = row["formula"], json.loads(row["expected"])
    found = call(name.split()[0], *json.loads(row["arguments"]))
    if name in PARTS:
        found = found[0][PARTS[name]]
    elif isinstance(expected, list):
        held = [(one, other) for one, other in zip(found[0], expected, strict=True) if other is not None]
        found, expected = zip(*held, strict=True)
    assert found == pytest.approx(expected, abs=float(row["tolerance"]))


# --- noise of the air -------------------------------------------------------------------------------------------------


def test_a_bend_by_the_equation_of_junctions():
    """VDI 2081 Part 2:2005, table 1, element 14 (seen copied out): 160 mm round, 280 m³/h, no edge counted."""
    speed = 280 / 3600 / (math.pi * 0.08**2)
    assert junction_power(0.16, speed, speed, None) == pytest.approx(
        [26.9, 23.0, 18.1, 12.5, 6.5, -0.1, -7.0, -14.4], abs=0.05
    )


@pytest.mark.parametrize(
    ("airflow", "width", "height", "speed", "whole", "weighted"),
    # VDI 2081 Part 2:2005, table 1, elements 5 and 13 (seen copied out), printed in whole decibels.
    [("4200 m³/h", "500 mm", "400 mm", 5.833, 38, 22), ("280 m³/h", "160 mm", None, 3.868, 19, -1)],
)
def test_air_in_a_straight_duct(airflow, width, height, speed, whole, weighted):
    """The whole level lies over each octave by the shape of figure 16.

    Weighted, the octaves of the guideline add up to 4 and 5 dB more than its own whole A-weighted level: the safer is taken.
    """
    found = np.array(call("AIRFLOWNOISE", airflow, width, height, "duct")[0])
    shape = -2 - 26 * np.log10(1.14 + 0.02 * np.array(OCTAVES) / speed)
    assert found - shape == pytest.approx([whole] * 8, abs=0.5)
    assert 3.5 < level_sum(found + A_WEIGHTING) - weighted < 5.5


def test_splitters_beside_the_other_guideline():
    """VDI 2081 Part 2:2005, table 1, element 2 (seen copied out): 52 dB(A), five gaps of 100 mm at 14.81 m/s."""
    (levels,) = call("SPLITTERNOISE", f"{14.81 * 5 * 0.1 * 0.6} m³/s", "100 mm", "600 mm", 5)
    assert 52 - level_sum(np.array(levels) + A_WEIGHTING) == pytest.approx(5, abs=0.5)


# --- oval ducts -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "row",
    [row for row in rows("duct_walls_printed") if row["table"] == "flat oval breakout"],
    ids=lambda row: row["size_mm"],
)
def test_breakout_of_flat_oval_ducts(row):
    """Printed to 1 dB for 12 x 6 to 96 x 48 in; blank where plane waves are no longer alone."""
    width, height = (round(float(side) / 25.4) for side in row["size_mm"].split("x"))
    (found,) = call("OVALDUCTTL", width, height, f"Steel sheet {row['gauge']} gauge")
    printed = [row[f"f{band:.0f}"] for band in OCTAVES]
    assert sum(map(bool, printed)) == sum(8115 / height > band for band in OCTAVES)
    for one, other in zip(found, printed, strict=True):
        if other:
            assert one == pytest.approx(float(other), abs=0.5)


@pytest.mark.parametrize(("width", "height"), [(8, 8), (12, 6), (14, 6), (24, 12), (24, 6), (40, 10)])
def test_the_round_duct_like_an_oval_one_takes_its_pressure(width, height):
    """Friction by the library fluids on the hydraulic diameter, at 5 m/s: the equation holds it to 4 % of pressure."""
    area = oval_area(width * INCH, height * INCH)
    across = 4 * area / oval_perimeter(width * INCH, height * INCH)
    equal = oval_equivalent(width * INCH, height * INCH)

    def taken(diameter, speed):
        factor = fluids.friction_factor(Re=diameter * speed / 1.5e-5, eD=9e-5 / diameter)
        return factor * speed**2 / diameter

    speed = 5.0
    assert taken(equal, speed * area / (math.pi / 4 * equal**2)) == pytest.approx(taken(across, speed), rel=0.04)


# --- insulation and cooling -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("diameter", [0.02, 0.1, 0.4])
def test_the_surface_of_a_round_duct(diameter):
    """Heat through 20,000 thin shells one after another, and from the surface to the room: summed, not integrated."""
    inside, around, thickness, conductivity, resistance = 8.0, 26.0, 0.03, 0.04, 0.12
    radii = np.linspace(diameter / 2, diameter / 2 + thickness, 20_001)
    middles = (radii[1:] + radii[:-1]) / 2
    shells = np.sum(np.diff(radii) / (conductivity * 2 * math.pi * middles))
    to_room = resistance / (2 * math.pi * radii[-1])
    expected = around - (around - inside) * to_room / (to_room + shells)
    found = call(
        "INSULATEDSURFACE",
        f"{inside} °C",
        f"{around} °C",
        f"{thickness} m",
        f"{conductivity} W/m/K",
        f"{resistance} m²·K/W",
        f"{diameter} m",
        "SI",
    )
    assert found == pytest.approx(expected, abs=1e-4)


def test_the_surface_at_the_dry_thickness_is_at_the_dew_point():
    air = "30 °C", "70 %"
    layer = "0.036 W/m/K", "0.11 m²·K/W"
    thickness = call("DRYTHICKNESS", "12 °C", *air, *layer, "SI")
    surface = call("INSULATEDSURFACE", "12 °C", "30 °C", f"{thickness} mm", *layer, None, "SI")
    assert surface == pytest.approx(call("DEWPOINT", *air, "SI"), abs=1e-6)


def test_damp_air_by_the_handbooks_factor():
    """4840 Btu/h for each cfm and lb/lb (printed in a public engineering reference), rounded there by 0.05 %."""
    psychrolib.SetUnitSystem(psychrolib.IP)
    outside, room = (psychrolib.GetHumRatioFromRelHum(t, h, 14.696) for t, h in ((95, 0.5), (75, 0.5)))
    _, _, latent, _ = call("COOLINGLOAD", 0, 0, 0, 100, 95, 0.5, 75, 0.5)[0]
    assert latent == pytest.approx(4840 * 100 * (outside - room), rel=0.001)


def test_one_person_in_a_warm_shell():
    """245 and 155 Btu/h of a person (ASHRAE, I-P), 3.412 Btu/h a watt, 100 ft² of R-10 h ft² °F/Btu by 20 °F."""
    total, sensible, latent, share = call(
        "COOLINGLOAD", 1, 100, 20, 0, 95, 0.5, 75, 0.5, 30, "100 ft²", "10 ft²·h·°F/Btu"
    )[0]
    assert sensible == pytest.approx(245 + 150 * 3.412142 + 200, abs=0.01)
    assert latent == pytest.approx(155, abs=0.01)
    assert (total, share) == pytest.approx((sensible + latent, sensible / total))

"""Inside the room against handbooks, standards, other printings and an independent library."""

import json

import numpy as np
import pytest

from published.libraries import acoustics_room
from published.printed import rows
from stillbook.catalogue import call
from stillbook.cells import as_rows
from stillbook.tables import table
from stillbook.trade.mass.materials import material_key
from stillbook.trade.physics.constants import FOOT
from stillbook.trade.physics.sound import SPEED_OF_SOUND
from stillbook.trade.room.absorption import BANDS, surfaces, wool_absorption
from stillbook.trade.room.modes import mode_count
from stillbook.trade.room.reverberation import DECAY

# --- worked examples --------------------------------------------------------------------------------------------------


def of_their_constant(formula, constant):
    """What turns our answer into one with the constant of the source: its speed of sound or its 0.161."""
    if not constant:
        return 1.0
    number, unit = constant.split()
    theirs = float(number) * {"s/ft": 1 / FOOT, "s/m": 1.0, "m/s": 1.0, "ft/s": FOOT}[unit]
    if unit in ("s/ft", "s/m"):
        return theirs / DECAY
    return theirs / SPEED_OF_SOUND if formula == "ROOMMODES" else SPEED_OF_SOUND / theirs


def at(answer, place):
    """One cell of an answer: of a row by its number, of the table of modes by the order of the mode."""
    if " " in place:
        return next(row[0] for row in answer[1:] if row[2] == place)
    return as_rows(answer)[0][int(place) - 1]


CASES = [pytest.param(row, id=row["case"]) for row in rows("room")]


@pytest.mark.parametrize("row", CASES)
def test_a_worked_example(row):
    answer = call(row["formula"], *json.loads(row["arguments"]))
    ours = at(answer, row["place"]) * of_their_constant(row["formula"], row["constant"])
    assert ours == pytest.approx(float(row["expected"]), rel=0, abs=float(row["tolerance"]))


def test_the_order_of_the_lowest_modes():
    """Long, Architectural Acoustics, 2nd ed., Table 8.1."""
    found = call("ROOMMODES", "7 m", "5 m", "3 m", 60.1)
    assert [row[2] for row in found[1:]] == ["1 0 0", "0 1 0", "1 1 0", "2 0 0", "0 0 1", "2 1 0"]


def test_the_density_of_modes():
    """Long, Architectural Acoustics, 2nd ed., Eq. 8.46: 34 modes in each hertz at 1 kHz in 7 × 5 × 3 m, at 344 m/s."""
    below, above = (mode_count(7, 5, 3, f * SPEED_OF_SOUND / 344) for f in (999.5, 1000.5))
    assert above - below == pytest.approx(34, abs=0.5)


def test_the_modes_that_coincide_in_a_poor_room():
    """Ballou (ed.), Handbook for Sound Engineers, ch. 6: in 16 × 12 × 8 ft, 70 Hz occurs twice, 141 Hz three times."""
    axial = [round(row[0] * 1130 * FOOT / SPEED_OF_SOUND) for row in call("ROOMMODES", 16, 12, 8, 200)[1:] if row[1] == "axial"]  # fmt: skip
    assert (axial.count(71), axial.count(141)) == (2, 3)
    assert "modes coincide" in [row[3] for row in call("MODEBANDS", 16, 12, 8)]


def test_the_close_modes_of_a_better_room():
    """Ballou, ch. 6: in 23 × 17 × 9 ft no frequency is shared by all sides; the modes 4 0 0 and 0 3 0 lie close."""
    found = {row[2]: row[0] for row in call("ROOMMODES", 23, 17, 9, 400)[1:] if row[1] == "axial"}
    assert abs(found["4 0 0"] - found["0 3 0"]) < 2
    along = [[f for order, f in found.items() if order.split()[side] != "0"] for side in range(3)]
    assert not any(abs(a - b) < 1 and abs(a - c) < 1 for a in along[0] for b in along[1] for c in along[2])


@pytest.mark.parametrize("sides", [(8, 8, 8), (16, 8, 8), (10, 10, 8)])
def test_a_cube_or_a_square_breaks_the_rule_for_modes(sides):
    """Bonello (1981): no modes may coincide where a band holds fewer than five."""
    assert "modes coincide" in [row[3] for row in call("MODEBANDS", *sides)]


# --- the table of surfaces against other printings --------------------------------------------------------------------

PRINTED = [
    pytest.param(row, id=f"{row['surface']} in {row['source'].split(',')[0]}") for row in rows("absorption_printings")
]


@pytest.mark.parametrize("row", PRINTED)
def test_a_surface_is_printed_alike_elsewhere(row):
    ours = surfaces()[material_key(row["surface"])].coefficients
    theirs = [float(row[f"f{band:.0f}"]) for band in BANDS]
    apart = [f"{band:.0f}" for band, one, other in zip(BANDS, ours, theirs, strict=True) if one != other]
    assert apart == row["differs"].split()


def test_the_wool_of_the_table_is_what_the_formula_gives():
    """Miki (1990), rounded to two decimals."""
    sizes = {
        "Wool 1 in (25 mm)": (0.025, 0),
        "Wool 2 in (50 mm)": (0.05, 0),
        "Wool 3 in (75 mm)": (0.075, 0),
        "Wool 4 in (100 mm)": (0.1, 0),
        "Wool 2 in over 2 in of air": (0.05, 0.05),
        "Wool 4 in over 4 in of air": (0.1, 0.1),
    }
    computed = {s.name: s.coefficients for s in surfaces().values() if s.source.startswith("Computed")}
    assert computed == {name: tuple(np.round(wool_absorption(*size), 2).tolist()) for name, size in sizes.items()}


# --- wool against measurement -----------------------------------------------------------------------------------------


def departures():
    """Computed less measured coefficients, a row for each measured wool."""
    found = rows("wool_absorption")
    measured = np.array([[float(row[f"f{band:.0f}"]) for band in BANDS] for row in found])
    computed = np.array([wool_absorption(float(row["thickness_mm"]) / 1000) for row in found])
    return computed - measured


def test_computed_wool_is_on_the_safe_side_of_laboratories():
    """Bies, Table 6.2, and Vorländer: it never passes a measured coefficient by 0.1."""
    assert departures().max() < 0.1


def test_how_far_computed_wool_stays_below_laboratories():
    """The mean departure by octave that the formula's description tells."""
    assert np.round(departures().mean(axis=0), 2).tolist() == [-0.10, -0.26, -0.25, -0.12, -0.06, -0.02]


# --- beside an independent library ------------------------------------------------------------------------------------

ROOMS = [
    (30.0, (12.0, 12.0, 40.0), (0.1, 0.6, 0.05)),
    (16.56, (39.24,), (0.3,)),
    (120.0, (40.0, 40.0, 78.0), (0.2, 0.2, 0.2)),
    (10.2, (10.0, 4.46, 4.46, 9.0), (0.14, 0.1, 0.57, 0.86)),
    (500.0, (100.0, 100.0, 220.0), (0.02, 0.7, 0.03)),
]


@pytest.mark.parametrize(("volume", "areas", "coefficients"), ROOMS)
@pytest.mark.parametrize(("method", "theirs"), [("Sabine", "t60_sabine"), ("Eyring", "t60_eyring")])
def test_reverberation_beside_a_library(volume, areas, coefficients, method, theirs):
    ours = call("REVERBERATION", volume, list(areas), [[c] for c in coefficients], method, None, "SI")[0][0]
    expected = getattr(acoustics_room(), theirs)(np.array(areas), np.array(coefficients), volume, SPEED_OF_SOUND)
    assert ours == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("surface", ["Carpet, heavy, on concrete", "Wood floor on joists", "Ordinary window glass"])
def test_nrc_beside_a_library(surface):
    """The library does not round to 0.05 as ASTM C423 does."""
    coefficients = np.array(call("ABSORPTION", surface)[0])
    assert call("NRCRATING", coefficients) == pytest.approx(acoustics_room().nrc(coefficients[1:5]), abs=0.025)


# --- hearing tests ----------------------------------------------------------------------------------------------------

OCTAVES = [63, 125, 250, 500, 1000, 2000, 4000, 8000]


@pytest.mark.parametrize("row", rows("hearing_tests"), ids=lambda row: f"{row['case']}, {row['octave']} Hz")
def test_the_highest_levels_of_a_standard(row):
    levels = call("HEARINGTESTLEVELS", row["kind"], float(row["lowest_tone"]))[0]
    assert levels[OCTAVES.index(int(row["octave"]))] == float(row["expected"])


@pytest.mark.parametrize(
    ("american", "international"),
    [("ANSI earphones", "ISO earphones"), ("ANSI ears uncovered", "ISO bone conduction")],
)
def test_two_standards_beside_each_other(american, international):
    """Three thirds at ISO's limits add up to within 3 dB of ANSI's octave, 500 to 4000 Hz; ANSI's uncovered from memory."""
    ours = call("HEARINGTESTLEVELS", american, 125)[0]
    row = next(row for row in table("hearing_tests") if (row["kind"], row["lowest"]) == (international, "125"))
    for octave, thirds in (
        (500, (400, 500, 630)),
        (1000, (800, 1000, 1250)),
        (2000, (1600, 2000, 2500)),
        (4000, (3150, 4000, 5000)),
    ):
        added = 10 * np.log10(sum(10 ** (float(row[f"f{hz}"]) / 10) for hz in thirds))
        assert ours[OCTAVES.index(octave)] == pytest.approx(added, abs=3)


def test_a_sound_field_is_three_decibels_below_bone_conduction():
    """ISO 8253-2:2009 Table 2 is ISO 8253-1:2010 Table 4 less 3 dB in every band to 8 kHz, for both ranges of tones."""
    for tone in (125, 250):
        bone, field = (call("HEARINGTESTLEVELS", kind, tone)[0] for kind in ("ISO bone conduction", "ISO sound field"))
        assert np.subtract(bone, field).tolist() == [3] * 8

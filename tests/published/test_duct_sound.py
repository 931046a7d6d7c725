"""Sound along air paths against printed tables, worked examples and equations worked apart from this program."""

import json
import math

import numpy as np
import pytest

from published.printed import rows
from stillbook.catalogue import call
from stillbook.tables import table
from stillbook.trade.physics.constants import FOOT, FPM, INCH
from stillbook.trade.physics.sound import OCTAVES, SPEED_OF_SOUND, level_sum
from stillbook.trade.quiet_path.airflow_noise import constricted_speed
from stillbook.trade.quiet_path.duct_sound import cutoff
from stillbook.trade.quiet_path.plenum import chamber_loss, lining_absorption

BANDS = [f"f{band:.0f}" for band in OCTAVES]
HANDBOOK_SPEED = 1127 * FOOT
"""Speed of sound in the handbooks' worked figures [m/s]; the product's is 0.1 % lower."""


def spectrum(formula, *arguments):
    """The only row of an answer."""
    (row,) = call(formula, *arguments)
    return np.array(row, dtype=float)


def printed(row, bands=BANDS):
    """The levels or losses of a printed row; NaN where nothing is printed."""
    return np.array([float(row[band]) if row[band] else math.nan for band in bands])


def agree(found, expected, tolerance):
    """Whether each printed figure is met."""
    expected = np.array([math.nan if value is None else value for value in expected], dtype=float)
    told = ~np.isnan(expected)
    assert told.any()
    assert found[told] == pytest.approx(expected[told], abs=tolerance)


@pytest.mark.parametrize("row", rows("duct_sound_cases"), ids=lambda row: row["case"])
def test_case(row):
    agree(spectrum(row["formula"], *json.loads(row["arguments"])), json.loads(row["expected"]), float(row["tolerance"]))


# --- lined duct -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("lined_duct_rows"), ids=lambda row: row["ratio_per_ft"])
def test_regression_of_lined_duct(row):
    """Printed to 0.01 dB a foot against perimeter over area printed to 0.01, so to 0.013.

    Four of the 34 printed rows are left out. Those for 11.00 and 4.33 are of ratios other than their heading; that
    for 8.40 has a misprint at 1000 Hz, and that for 2.00 repeats the next row from 2000 Hz up.
    """
    side = 48 / float(row["ratio_per_ft"])
    found = spectrum("LINEDDUCTLOSS", side, side, 1, 1, "regression") + spectrum("UNLINEDDUCTLOSS", side, side, 1)
    agree(found, printed(row), 0.013)


@pytest.mark.parametrize(
    "row", rows("lined_round_duct_rows"), ids=lambda row: f"{row['diameter_in']} in, {row['lining_in']} in"
)
def test_regression_of_lined_round_duct(row):
    found = spectrum("LINEDDUCTLOSS", float(row["diameter_in"]), None, 1, float(row["lining_in"]), "regression")
    agree(found, printed(row), 0.0101)


@pytest.mark.parametrize(
    "row",
    rows("duct_loss_of_a_foot"),
    ids=lambda row: f"{row['width_in']}x{row['height_in']}, {row['lining_in']} in",
)
def test_a_foot_of_duct(row):
    size = float(row["width_in"]), float(row["height_in"] or 0)
    lining = float(row["lining_in"])
    if lining:
        agree(spectrum("LINEDDUCTLOSS", *size, 1, lining, "regression"), printed(row), 0.0051)
    else:
        agree(spectrum("UNLINEDDUCTLOSS", *size, 1), printed(row), 0.00051)


@pytest.mark.parametrize(
    "row",
    rows("lined_duct_measured"),
    ids=lambda row: f"{row['width_in']}x{row['height_in']}, {row['lining_in']} in, {row['length_ft']} ft",
)
def test_the_safer_basis_promises_no_more_than_published_measurements(row):
    """From 125 to 2000 Hz, to half the last printed digit; the regression promises more in each row.

    At 4000 Hz, which never decides, the example of 5 ft lies 2 dB below it.
    """
    size = [float(row[name]) for name in ("width_in", "height_in", "length_ft", "lining_in")]
    decided = BANDS[1:6]
    last_digit = 0.05 if float(row["length_ft"]) == 1 else 0.5
    safer = spectrum("LINEDDUCTLOSS", *size)[1:6]
    assert (safer <= printed(row, decided) + last_digit).all()
    assert (spectrum("LINEDDUCTLOSS", *size, "regression")[1:6] > safer).all()


# --- ends, elbows, fans -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("end_reflection"), ids=lambda row: f"{row['diameter_mm']} mm {row['termination']}")
def test_end_reflection(row):
    """Whole decibels of an older form, whose exponent of 1.88 for free ends gives up to 1.5 dB less than ours of 2."""
    inches = round(float(row["diameter_mm"]) / 25.4)
    over = spectrum("ENDREFLECTION", inches, None, row["termination"])[:6] - printed(row, BANDS[:6])
    assert over.min() >= -0.5 - 0.05
    assert over.max() <= (0.65 if row["termination"] == "flush" else 1.5)


@pytest.mark.parametrize(
    "row",
    [dict(row) for row in table("flexible_duct")],
    ids=lambda row: f"{row['diameter_in']} in, {row['length_ft']} ft",
)
def test_a_printed_flexible_duct(row):
    found = spectrum("FLEXDUCTLOSS", float(row["diameter_in"]), float(row["length_ft"]))
    assert found == pytest.approx([*printed(row, BANDS[:7]), 0])


@pytest.mark.parametrize(("shorter", "longer"), [(0, 1), (1, 3), (4.5, 6), (11, 12), (12, 13)])
def test_a_longer_flexible_duct_loses_no_less(shorter, longer):
    for diameter in (4, 5.5, 11, 16):
        assert (spectrum("FLEXDUCTLOSS", diameter, longer) >= spectrum("FLEXDUCTLOSS", diameter, shorter)).all()
    assert spectrum("FLEXDUCTLOSS", 6, 12.5) == pytest.approx(spectrum("FLEXDUCTLOSS", 6, 12))


@pytest.mark.parametrize(
    ("diameter", "expected", "most_over"),
    [
        # Older form with an exponent of 1.88: a 2009 application guide, 12 in flush (seen).
        ("12 in", [12.6, 7.6, 3.6, 1.3, 0.4, 0.0], 0.1),
        # Public table of duct attenuation in mm (seen), which is lower than the form for small ducts.
        ("125 mm", [17, 12, 8, 4, 1, 0], 3.0),
        ("250 mm", [12, 8, 4, 1, 0, 0], 3.0),
    ],
)
def test_end_reflection_beside_other_tables(diameter, expected, most_over):
    over = spectrum("ENDREFLECTION", diameter)[: len(expected)] - expected
    assert over.max() <= most_over
    assert over.min() >= -1.1


def test_elbow_with_vanes_beside_a_printed_curve():
    """A 48 in square elbow with vanes, read off a curve in a 2009 application guide (seen): the steps promise less."""
    curve = [3.1, 6.2, 7.1, 7.0, 6.9, 6.8, 6.8, 6.8]
    assert (spectrum("ELBOWLOSS", 48, None, None, "square elbow with vanes") <= curve).all()


@pytest.mark.parametrize(
    ("airflow", "pressure", "expected"),
    # 10 log Q + 20 log P with each logarithm rounded: a 2009 application guide (seen).
    [(15000, 3, 51.5), (15000, 4, 54.0)],
)
def test_working_point_of_a_fan(airflow, pressure, expected):
    raised = spectrum("FANSOUND", airflow, pressure, "backward inclined") - spectrum(
        "FANSOUND", 1, 1, "backward inclined"
    )
    agree(raised, [expected] * 8, 0.3)


@pytest.mark.parametrize(
    ("airflow", "pressure", "single_number"),
    # Lw = 40 + 10 log Q[m³/s] + 20 log p[Pa], attributed to Beranek (seen).
    [(150, 0.4, 68.47)],
)
def test_generic_forms_of_fan_sound_agree_in_order_of_magnitude(airflow, pressure, single_number):
    for kind in ("forward curved", "tube axial"):
        assert level_sum(spectrum("FANSOUND", airflow, pressure, kind)) == pytest.approx(single_number, abs=6)


# --- noise of the air -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("speed", "loudest"), [(1.0, 10.33), (2.0, 28.40), (2.54, 34.62)])
def test_loudest_octave_of_a_grille(speed, loudest):
    """10 + 10 log S + 30 log ξ + 60 log v of Vér and Beranek, S 0.04 m², ξ 3; the peak lies between two octaves."""
    found = spectrum("AIRFLOWNOISE", f"{0.04 * speed} m³/s", "0.2 m", "0.2 m", "grille", 3)
    octaves = np.log2(np.array(OCTAVES) / (160 * speed))
    level = np.where(octaves < 0, found - 3 * octaves, found + 5 * octaves)
    assert level[found > -50] == pytest.approx(loudest, abs=0.005)


@pytest.mark.parametrize("speed", [1.0, 2.0, 2.54, 5.0])
def test_grille_beside_the_equations_of_diffusers(speed):
    """Long, Architectural Acoustics, 2nd ed., eq. 13.27 to 13.33 (seen copied out): the whole level is one; the
    octaves of a rectangular one lie 11.82 + 0.15 A + 1.13 A² below it, A octaves under the loudest at 48.8 U Hz.

    Ours are no lower: the loudest is given the whole level.
    """
    area, coefficient, feet = 0.04, 3, 1 / FOOT
    whole = 10 * np.log10(area * feet**2) + 30 * np.log10(coefficient) + 60 * np.log10(speed * feet) - 31.3
    assert whole == pytest.approx(
        10 + 10 * np.log10(area) + 30 * np.log10(coefficient) + 60 * np.log10(speed), abs=0.05
    )
    found = spectrum("AIRFLOWNOISE", f"{area * speed} m³/s", "0.2 m", "0.2 m", "grille", coefficient)
    under = round(np.log2(48.8 * speed * feet / 32)) - np.round(np.log2(np.array(OCTAVES) / 32))
    assert (found >= np.maximum(whole - 11.82 - 0.15 * under - 1.13 * under**2, -50) - 1e-9).all()
    assert found.max() <= whole + 0.05


@pytest.mark.parametrize(("element", "halving"), [("duct", -15.1), ("grille", -18.1)])
def test_halving_the_velocity(element, halving):
    """50 log and 60 log of velocity, at the same frequency over velocity: an octave lower at half the velocity."""
    fast = spectrum("AIRFLOWNOISE", "0.4 m³/s", "0.2 m", "0.2 m", element, 3)
    slow = spectrum("AIRFLOWNOISE", "0.2 m³/s", "0.2 m", "0.2 m", element, 3)
    assert slow[1:5] - fast[2:6] == pytest.approx(halving, abs=0.15)


def test_elbow_beside_a_printed_example():
    """A 12 in round elbow at 1528 fpm: a 2009 application guide (seen) reads its terms off a graph of a junction.

    The equation printed in the same guide, which is what the product follows, gives 4 to 6 dB more.
    """
    area = math.pi / 4
    found = spectrum("AIRFLOWNOISE", 1528 * area, 12, None, "round elbow")[:7]
    over = found - [48, 44, 40, 34, 28, 21, 13]
    assert over.min() > 0
    assert over.max() < 6


def test_velocity_between_damper_blades():
    """4650 fpm read off a graph for 2500 fpm and 0.3 in.wg: a 2009 application guide (seen)."""
    coefficient = 15.9e6 * 0.3 / 2500**2
    assert constricted_speed(2500 * FPM, coefficient) / FPM == pytest.approx(4650, rel=0.01)


@pytest.mark.parametrize(
    "row", rows("damper_noise"), ids=lambda row: f"{row['loss_coefficient']} {row['velocity_m_s']}"
)
def test_damper_beside_a_makers_levels(row):
    """Sum over the octaves of a damper in a duct of 1 m²; two ways to predict it scatter by some 10 dB."""
    found = spectrum(
        "AIRFLOWNOISE", f"{row['velocity_m_s']} m³/s", "1 m", "1 m", "damper", float(row["loss_coefficient"])
    )
    assert level_sum(found) == pytest.approx(float(row["level_db"]), abs=10)


# --- boxes ------------------------------------------------------------------------------------------------------------


def test_expansion_chamber():
    """m 20.372, 3 ft, 63 Hz: 18.98 dB with c 1127 ft/s; NACA Report 1192, 1954 (computed)."""
    found = chamber_loss(np.array(20.372), np.array(3 * FOOT), np.array([63 * SPEED_OF_SOUND / HANDBOOK_SPEED]))
    assert found == pytest.approx([18.98], abs=0.005)


@pytest.mark.parametrize(
    ("width", "height", "frequency"), [(6 * INCH, None, 1321), (8 * INCH, 8 * INCH, 845), (12 * INCH, 12 * INCH, 563.5)]
)
def test_cutoff(width, height, frequency):
    """Plane waves only below 0.586 c/d and c/2a: ASHRAE (seen)."""
    assert cutoff(width, height) * HANDBOOK_SPEED / SPEED_OF_SOUND == pytest.approx(frequency, abs=0.5)


@pytest.mark.parametrize(
    "row", rows("lining_absorption"), ids=lambda row: f"{row['thickness_mm']} {row['density_kg_m3']}"
)
def test_lining_absorbs_no_more_than_measured(row):
    """Mean of 125 to 4000 Hz and each octave, to 0.1 of the reverberation room, where edges add."""
    measured = printed(row, BANDS[1:7])
    found = lining_absorption(float(row["thickness_mm"]) / 1000)[1:7]
    assert (found <= measured + 0.12).all()
    assert found.mean() <= measured.mean() + 0.005


def test_smallest_breakout_loss():
    """10 log[24 L (1/a + 1/b)] for 10 ft of 12 x 12 in is 16.0 dB: SMACNA 1990 eq. 11-55 (computed)."""
    steel = [["Steel", 0.12, 1, 5]]
    wall = spectrum("DUCTWALLTL", 12, 12, steel)
    assert wall - spectrum("BREAKOUTLOSS", 12, 12, 10, steel) == pytest.approx(16.0, abs=0.03)


# --- the whole path ---------------------------------------------------------------------------------------------------

WHOLE_PATH = {row["row"]: row for row in rows("whole_path")}


def of_path(row):
    return spectrum(WHOLE_PATH[row]["formula"], *json.loads(WHOLE_PATH[row]["arguments"]))


@pytest.mark.parametrize("row", [name for name in WHOLE_PATH if name != "level"])
def test_each_row_of_the_whole_path(row):
    """To 0.2 dB, the tolerance of the worked path.

    It was worked with the plain regression, Wells's box with given absorption, and a room constant of the booth's own
    surface; the product takes the surface of a cube of its volume, 3 % less, which is 0.04 dB.
    """
    agree(of_path(row), json.loads(WHOLE_PATH[row]["expected"]), 0.2)


def whole_path_level(**options):
    elements = [of_path(row).tolist() for row in ("duct, lining", "duct, natural", "elbow", "box", "end reflection")]
    power = call("PATHLEVEL", [of_path("fan").tolist()], elements, None, options.get("most_loss"))
    return spectrum("ROOMLEVEL", power, *json.loads(WHOLE_PATH["room"]["arguments"]))


def test_the_level_at_the_end_of_the_whole_path():
    """With no limit on the path as a whole, as it was worked."""
    agree(whole_path_level(most_loss=300), json.loads(WHOLE_PATH["level"]["expected"]), 0.2)


def test_nc_of_the_whole_path():
    """Set at 125 Hz: above NC-20 (40 dB), below NC-25 (44 dB), 23 interpolated."""
    assert call("NCRATING", [whole_path_level(most_loss=300).tolist()]) == pytest.approx(23.25, abs=0.2)


def test_the_path_has_a_floor():
    """What the worked path has below 0 dB is not physical: with a limit on the path it stays above."""
    level = whole_path_level()
    assert level[:3] == pytest.approx(json.loads(WHOLE_PATH["level"]["expected"])[:3], abs=0.2)
    assert (level[3:] > json.loads(WHOLE_PATH["level"]["expected"])[3:]).all()
    assert level.min() > -20


STEEL = [("f63", "f125", "f250", "f500", "f1000", "f2000", "f4000", "f8000"), "Steel sheet {} gauge"]


def printed_walls(kind):
    """Rows of the printed tables of duct walls: what was measured, as ducts of steel would be typed."""
    return [
        pytest.param(row, id=f"{row['size_mm']} mm, {row['gauge']} gauge")
        for row in rows("duct_walls_printed")
        if row["table"] == kind
    ]


def losses(row, *, bounds):
    """Octave and loss of a printed row, without the lower bounds of what the laboratory's noise hid unless asked for."""
    held = [(place, row[band]) for place, band in enumerate(STEEL[0]) if row[band]]
    return [(place, float(text.strip(">()"))) for place, text in held if bounds or text[0] != ">"]


@pytest.mark.parametrize("row", printed_walls("rectangular breakout"))
def test_breakout_of_rectangular_ducts(row):
    """Printed to 1 dB; one cell of 56, 24 by 48 in at 1000 Hz, lies 1.5 from the equation that the rest keep."""
    sides = [f"{side} mm" for side in row["size_mm"].split("x")]
    found = spectrum("DUCTWALLTL", *sides, STEEL[1].format(row["gauge"]))
    for place, loss in losses(row, bounds=True):
        odd = (row["size_mm"], place) == ("610x1220", 4)
        assert found[place] == pytest.approx(loss, abs=1.6 if odd else 0.6)


@pytest.mark.parametrize("row", printed_walls("round long seam breakout"))
def test_breakout_of_round_ducts(row):
    """The rows between which is read; more than 45 dB is trusted to no wall."""
    found = spectrum("DUCTWALLTL", f"{row['size_mm']} mm", "", STEEL[1].format(row["gauge"]))
    for place, loss in losses(row, bounds=True):
        assert found[place] == pytest.approx(min(loss, 45), abs=0.05)


@pytest.mark.parametrize("row", printed_walls("round spiral breakout"))
def test_spiral_ducts_keep_at_least_as_much(row):
    """They were measured apart, and no row of theirs was used; two of one gauge and size differ by 3 dB and more."""
    found = spectrum("DUCTWALLTL", f"{row['size_mm']} mm", "", STEEL[1].format(row["gauge"]))
    for place, loss in losses(row, bounds=True):
        assert found[place] <= loss + 3


@pytest.mark.parametrize("row", printed_walls("circular long seam break-in"))
def test_break_in_of_round_ducts(row):
    """Lw = L - 6 + 10 log S - TL - 3; printed for 203, 356, 559 and 813 mm."""
    diameter = float(row["size_mm"]) / 1000
    length = float(row["length_m"])
    power = spectrum(
        "BREAKINPOWER", [[80] * 8], f"{row['size_mm']} mm", "", f"{length} m", STEEL[1].format(row["gauge"])
    )
    found = 80 - 6 + 10 * np.log10(np.pi * diameter * length) - 3 - power
    for place, loss in losses(row, bounds=True):
        assert found[place] == pytest.approx(min(loss, 45), abs=0.8)


@pytest.mark.parametrize("row", printed_walls("rectangular break-in"))
def test_break_in_of_rectangular_ducts(row):
    """At low octaves the printed rows stop at 10 log of half the wall area over the duct area, of a length not printed."""
    sides = [float(side) / 1000 for side in row["size_mm"].split("x")]
    power = spectrum(
        "BREAKINPOWER", [[80] * 8], *(f"{side} m" for side in sides), "20 ft", STEEL[1].format(row["gauge"])
    )
    found = 80 - 6 + 10 * np.log10(2 * sum(sides) * 20 * 0.3048) - 3 - power
    for place, loss in losses(row, bounds=True):
        assert found[place] == pytest.approx(loss, abs=0.6)

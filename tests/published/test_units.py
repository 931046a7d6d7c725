"""Unit factors against NIST SP 811, the federal packaging rule, and the constants of a general library."""

import fluids.constants as independent
import pytest

from published.printed import rows
from stillbook.quantities import KINDS, convert


@pytest.mark.parametrize("row", [pytest.param(row, id=f"{row['text']} in {row['unit']}") for row in rows("units")])
def test_a_printed_factor(row):
    found = convert(row["text"], row["unit"])
    assert found == pytest.approx(float(row["expected"]), rel=1e-12, abs=float(row["tolerance"])), row["source"]


FOOT, INCH, POUND = independent.foot, independent.inch, independent.pound


@pytest.mark.parametrize(
    ("kind", "factor"),
    [
        ("room length", FOOT),
        ("length", INCH),
        ("area", FOOT**2),
        ("opening area", INCH**2),
        ("volume", FOOT**3),
        ("box volume", INCH**3),
        ("container size", independent.fluid_ounce),
        ("mass", POUND),
        ("mass per area", POUND / FOOT**2),
        ("density", POUND / FOOT**3),
        ("force", independent.lbf),
        ("airflow", FOOT**3 / independent.minute),
        ("airflow per area", FOOT / independent.minute),
        ("air velocity", FOOT / independent.minute),
        ("heat", independent.Btu / independent.hour),
        ("temperature difference", independent.degree_Fahrenheit),
        ("absorption area", FOOT**2),
        ("altitude", FOOT),
    ],
)
def test_a_bare_number_in_a_us_workbook(kind, factor):
    """One of each kind's US default unit in its base unit, by the constants of the library ``fluids``."""
    assert KINDS[kind].scales["US"][0] == pytest.approx(factor, rel=1e-12)

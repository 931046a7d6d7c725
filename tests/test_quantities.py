"""Text, units and kinds. Unit factors: NIST Special Publication 811, Appendix B; exact ones from its definitions."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook import quantities as q
from stillbook.quantities import QuantityError, convert, from_base, read_text, to_base

READ = [
    ("36 in", q.LENGTH, 0.9144),
    ("36in", q.LENGTH, 0.9144),
    ("2'-6\"", q.LENGTH, 0.762),
    ("2' 6\"", q.LENGTH, 0.762),
    ("3'-0\"", q.LENGTH, 0.9144),
    ("2 ft 6 1/2 in", q.LENGTH, 30.5 * 0.0254),
    ("2′-6½″", q.LENGTH, 30.5 * 0.0254),
    ('5/8"', q.LENGTH, 0.015875),
    ("5/8 in", q.LENGTH, 0.015875),
    ("1-1/2 in", q.LENGTH, 0.0381),
    ("1½ in", q.LENGTH, 0.0381),
    ("8'", q.LENGTH, 2.4384),
    ("900 mm", q.LENGTH, 0.9),
    ("900 MM", q.LENGTH, 0.9),
    ("90 cm", q.LENGTH, 0.9),
    ("2.2 lb/ft2", q.SURFACE_MASS, 2.2 * 0.45359237 / 0.3048**2),
    ("2.2 lb/ft²", q.SURFACE_MASS, 2.2 * 0.45359237 / 0.3048**2),
    ("2.2 psf", q.SURFACE_MASS, 2.2 * 0.45359237 / 0.3048**2),
    ("45 pcf", q.DENSITY, 45 * 0.45359237 / 0.3048**3),
    ("12 L/s", q.AIRFLOW, 0.012),
    ("30 cfm", q.AIRFLOW, 30 * 0.3048**3 / 60),
    ("1,200 cfm", q.AIRFLOW, 1200 * 0.3048**3 / 60),
    ("100 m³/h", q.AIRFLOW, 100 / 3600),
    ("100 fpm", q.AIR_SPEED, 0.508),
    ("0.1 in.wg", q.PRESSURE, 24.908891),
    ("0.1 in wg", q.PRESSURE, 24.908891),
    ("25 Pa", q.PRESSURE, 25.0),
    ("20 sq ft", q.AREA, 20 * 0.3048**2),
    ("68 °F", q.TEMPERATURE, 20.0),
    ("68 F", q.TEMPERATURE, 20.0),
    ("10 °F", q.TEMPERATURE_DIFFERENCE, 10 / 1.8),
    ("150 W", q.HEAT, 150.0),
    ("10%", q.SHARE, 0.1),
    ("0.1", q.SHARE, 0.1),
    ("3 h", q.MINUTES, 180.0),
    ("-3 in", q.LENGTH, -0.0762),
]


@pytest.mark.parametrize(("text", "kind", "base"), READ)
def test_text_is_read(text, kind, base):
    assert read_text(text, kind) == pytest.approx(base, rel=1e-12)


REFUSED = [
    ("88 lb", q.SURFACE_MASS, "is a mass where a mass per area is needed"),
    ("4.4 lb/ft²", q.MASS, "is a mass per area where a mass is needed"),
    ("30 cfm", q.AIR_SPEED, "is an airflow where an air velocity is needed"),
    ("100 fpm", q.AIRFLOW, "is an air velocity where an airflow is needed"),
    ("20 ft²", q.LENGTH, "is an area where a length is needed"),
    ("5 m", q.SHARE, "is a length where a share is needed"),
    ("9 dB", q.PARTS_PER_MILLION, "is a level where a concentration is needed"),
    ("3 foo", q.LENGTH, 'unit "foo" is not known'),
    ("wide", q.LENGTH, "is not understood as a length"),
    ("50k", q.KINDS["number"], '"50k" is not understood: write thousands out, as in 50000'),
    ("1.5 k", q.LENGTH, "write thousands out, as in 1500"),
    ("1,5 m", q.LENGTH, "write a point for decimals"),
    ("1/0 in", q.LENGTH, "divides by zero"),
    ("3 **9 ft", q.LENGTH, "not understood"),
    ("9" * 300 + " in", q.LENGTH, ""),
    ("2e99999 in", q.LENGTH, "is not known"),
]


@pytest.mark.parametrize(("text", "kind", "message"), REFUSED)
def test_text_is_refused_with_a_sentence(text, kind, message):
    try:
        value = read_text(text, kind)
    except QuantityError as error:
        assert message in str(error)
        assert len(str(error)) < 220
    else:
        assert text.startswith("999")
        assert value > 1e290


NIST = [
    (q.ROOM_LENGTH, 0.3048, 1.0),
    (q.LENGTH, 0.0254, 0.001),
    (q.AREA, 0.09290304, 1.0),
    (q.SMALL_AREA, 0.00064516, 1e-6),
    (q.VOLUME, 0.028316846592, 1.0),
    (q.MASS, 0.45359237, 1.0),
    (q.SURFACE_MASS, 4.882427636383051, 1.0),
    (q.DENSITY, 16.018463373960142, 1.0),
    (q.AIRFLOW, 0.0004719474432, 0.001),
    (q.AIR_SPEED, 0.00508, 1.0),
    (q.PRESSURE, 249.08891, 1.0),
    (q.HEAT, 0.29307107017222, 1.0),
    (q.ELECTRIC_POWER, 1.0, 1.0),
    (q.ALTITUDE, 0.3048, 1.0),
]


@pytest.mark.parametrize(("kind", "us", "si"), NIST)
def test_default_units_have_the_defined_factors(kind, us, si):
    assert kind.scales["US"][0] == pytest.approx(us, rel=2e-7 if kind is q.HEAT else 1e-14)
    assert kind.scales["SI"][0] == pytest.approx(si, rel=1e-14)


def test_temperatures_have_an_offset_and_differences_have_none():
    assert to_base(32, q.TEMPERATURE, "US") == pytest.approx(0.0, abs=1e-12)
    assert to_base(212, q.TEMPERATURE, "US") == pytest.approx(100.0)
    assert to_base(18, q.TEMPERATURE_DIFFERENCE, "US") == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [("2'-6\"", "in", 30.0), ("30 cfm", "L/s", 14.158423296), ("68 °F", "°C", 20.0), ("1 in.wg", "Pa", 249.08891)],
)
def test_conversion_to_any_unit(text, unit, value):
    assert convert(text, unit) == pytest.approx(value, rel=1e-12)


def test_conversion_between_kinds_is_refused():
    with pytest.raises(QuantityError, match="is a mass where a quantity in ft is needed"):
        convert("3 lb", "ft")


@given(
    st.sampled_from(sorted(q.KINDS)),
    st.sampled_from(q.SYSTEMS),
    st.floats(-1e9, 1e9, allow_subnormal=False),
)
def test_a_value_survives_the_way_to_base_and_back(name, system, value):
    kind = q.KINDS[name]
    assert math.isclose(from_base(to_base(value, kind, system), kind, system), value, rel_tol=1e-12, abs_tol=1e-9)


@given(
    st.sampled_from([k for k in q.KINDS.values() if k.us]),
    st.sampled_from(q.SYSTEMS),
    st.decimals("0.001", "100000", places=3),
)
def test_a_number_with_the_default_unit_means_the_same_as_the_bare_number(kind, system, number):
    assert math.isclose(
        read_text(f"{number} {kind.unit(system)}", kind),
        to_base(float(number), kind, system),
        rel_tol=1e-12,
        abs_tol=1e-12,
    )


@given(st.text(max_size=60), st.sampled_from(sorted(q.KINDS)))
def test_no_text_breaks_the_reader(text, name):
    try:
        assert isinstance(read_text(text, q.KINDS[name]), float)
    except QuantityError as error:
        assert str(error)

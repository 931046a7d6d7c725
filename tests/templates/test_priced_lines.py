"""Lines with a price: what makes one wrong is named, steps and sums add up to the cent, and the level is one of them."""

import pytest

from stillbook.quantities import SYSTEMS
from stillbook.workbook.file.address import Area
from templates.columns import calculated, named, numbers, put, shipped, values

RULE = "Lines without a valid price"
ESTIMATES = ("booth-estimate", "room-conversion", "door-schedule")

FAULTS = [
    ("price_costs", None, "cost no number over 0"),
    ("price_costs", 0, "cost no number over 0"),
    ("price_costs", -34, "cost no number over 0"),
    ("price_costs", "34", "cost no number over 0"),
    ("price_costs", "on request", "cost no number over 0"),
    ("price_rates", None, "rate no number over 0"),
    ("price_rates", 0, "rate no number over 0"),
    ("price_rates", -3, "rate no number over 0"),
    ("price_rates", "three", "rate no number over 0"),
    ("price_trades", "Roofs", "trade not on the sheet"),
    ("price_codes", "HINGES", "not on the Unit costs sheet"),
]


def mending(job):
    """What the check of the lines says once it fails."""
    return next(check.advice for check in job.calculate().failed if check.rule == RULE)


@pytest.mark.parametrize("name", ESTIMATES)
@pytest.mark.parametrize(("column", "value", "fault"), FAULTS)
def test_a_line_without_its_price_fails_by_its_code(name, column, value, fault):
    job = shipped(name, "US")
    put(job, column, values(job, "price_codes").index("HINGE"), value)
    assert f"Mend it on the Unit costs sheet: HINGE: {fault}" in mending(job)


@pytest.mark.parametrize("name", ESTIMATES)
@pytest.mark.parametrize("value", [None, 0, -1, "dear"])
def test_a_trade_without_its_hour_fails_by_the_first_code(name, value):
    job = shipped(name, "SI")
    put(job, "labour_rates", values(job, "labour_trades").index("Doors"), value)
    assert "SLAB: hour no number over 0, and " in mending(job)


@pytest.mark.parametrize("name", ESTIMATES)
def test_a_code_that_stands_twice_with_two_costs_fails(name):
    job = shipped(name, "US")
    spare = values(job, "price_codes").index(None)
    at = values(job, "price_codes").index("HINGE")
    for column in ("price_codes", "price_texts", "price_units", "price_costs", "price_trades", "price_rates"):
        put(job, column, spare, values(job, column)[at])
    assert RULE not in {check.rule for check in job.calculate().failed}
    put(job, "price_costs", spare, 35)
    assert "HINGE: two rows that differ" in mending(job)


def test_a_worded_cost_leaves_no_error_that_hides_it():
    job = shipped("booth-estimate", "US")
    put(job, "price_costs", values(job, "price_codes").index("HINGE"), "on request")
    assert not job.calculate().errors


def test_a_line_that_is_not_ordered_needs_no_price():
    job = shipped("booth-estimate", "US")
    put(job, "price_costs", values(job, "price_codes").index("VENTILATOR"), None)
    assert RULE not in {check.rule for check in job.calculate().failed}


@pytest.mark.parametrize("changes", [{"allowance_for_1": "lamps"}, {"alternate_text_1": "paint"}])
def test_a_worded_sum_fails(changes):
    job = shipped("booth-estimate", "US")
    job.set(changes)
    put(job, "allowance_amounts" if "allowance_for_1" in changes else "alternate_costs", 0, "about 500")
    assert "Allowances and alternates are filled in whole" in {check.rule for check in job.calculate().failed}


# --- cents ------------------------------------------------------------------------------------------------------------


def cents(*amounts):
    """Amounts as cents, each whole."""
    found = [amount * 100 for amount in amounts]
    assert all(amount == pytest.approx(round(amount), abs=1e-4) for amount in found), amounts
    return [round(amount) for amount in found]


STEPS = (
    "direct_cost",
    "overhead_amount",
    "contingency_amount",
    "level_amount",
    "margin_amount",
    "price_before_tax",
    "tax_amount",
    "price",
)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", ESTIMATES[:2])
@pytest.mark.parametrize("end", ["", "_pair", "_single"])
def test_the_steps_add_up_to_the_cent(name, system, end):
    shares = {"overhead": 0.1237, "contingency": 0.0411, "margin": 0.1873, "tax": 0.0771, "level_markup": 0.0613}
    found = named(calculated(name, system, shares)[0])
    direct, overhead, contingency, level, margin, before, tax, price = cents(*(found[step + end] for step in STEPS))
    assert direct + overhead + contingency == cents(found["total_cost" + end])[0]
    assert direct + overhead + contingency + level + margin == before
    assert before + tax == price
    assert level / 100 == pytest.approx(found["total_cost" + end] * 0.0613, abs=0.005)
    assert before / 100 == pytest.approx((found["total_cost" + end] + level / 100) / (1 - 0.1873), abs=0.005)


@pytest.mark.parametrize("name", ESTIMATES)
def test_lines_trades_and_openings_add_up_to_the_cent(name):
    job = shipped(name, "US")
    put(job, "price_rates", values(job, "price_codes").index("HINGE"), 7)
    found = numbers(job)
    for material, labour, whole in zip(
        *(cents(*values(job, f"line_{part}")) for part in ("material", "labour", "cost")), strict=True
    ):
        assert material + labour == whole
    if name == "door-schedule":
        assert cents(found["price"])[0] == sum(
            cents(*(price for price in values(job, "opening_prices") if price != ""))
        )
        assert cents(found["material_cost"])[0] + cents(found["labour_cost"])[0] == cents(found["total_cost"])[0]
    else:
        assert cents(found["material_cost"])[0] + cents(found["labour_cost"])[0] == cents(found["direct_cost"])[0]


def test_a_sum_set_aside_does_not_make_changes_dearer():
    plain, more = shipped("booth-estimate", "US"), shipped("booth-estimate", "US")
    more.set({"allowance_for_1": "lamps", "allowance_amount_1": 9000})
    areas = []
    for job in (plain, more):
        numbers(job)
        areas.append(job.package.rows("Isolation", Area(30, 20, 60, 20)))
    assert areas[0] == areas[1]

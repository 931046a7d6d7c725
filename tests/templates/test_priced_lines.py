"""Lines with a price: what makes one wrong is named, steps and sums add up to the cent, and the level is one of them."""

from functools import cache

import pytest

from stillbook.quantities import SYSTEMS
from stillbook.workbook.file.address import Area
from templates.columns import named, numbers, put, shipped, values

RULE = "Lines without a valid price"
ROOMS = ("booth-estimate", "room-conversion")
SCHEDULE = "door-schedule"

NO_COST, NO_RATE = (f"{what} no number over 0" for what in ("cost", "done in an hour"))
COST_TEXT, RATE_TEXT = (f"{what} is text, not a number" for what in ("cost", "done in an hour"))
FAULTS = [
    # a code of a room, what is changed in its row, what is said of its lines then
    ("HINGE", "price_costs", None, NO_COST),
    ("SEALS", "price_costs", 0, NO_COST),
    ("LATCH", "price_costs", -34, NO_COST),
    ("FRAME", "price_costs", "34", COST_TEXT),
    ("THRESHOLD", "price_costs", "10,50", COST_TEXT),
    ("DUCT", "price_rates", None, NO_RATE),
    ("ELBOW", "price_rates", 0, NO_RATE),
    ("AIRBOX", "price_rates", -3, NO_RATE),
    ("FAN", "price_rates", "three", RATE_TEXT),
]
HOURS = {"Doors": None, "Shell": 0, "Air": -1, "Wiring": "62,50"}
"""Trades whose hour is no price."""


def no_hour(trade):
    """What is said of such a trade."""
    rest = "is text, not a number" if isinstance(HOURS[trade], str) else "no number over 0"
    return f"labour rate of {trade} {rest}"


UNKNOWN = [
    ("HINGE", "price_codes", "HINGES", "code not found"),
    ("GRILLE", "price_trades", "Roofs", "trade not among the labour rates"),
]
"""Faults that leave a line without what it is worked out from, so that its labour is an error besides."""

PRICES = ("price_codes", "price_texts", "price_units", "price_costs", "price_trades", "price_rates")


def put_price(job, code, column, value):
    """Write a value in the row of a code."""
    put(job, column, values(job, "price_codes").index(code), value)


def put_twice(job, code, **changed):
    """Let the row of a code stand once more, with what is changed there."""
    at, spare = (values(job, "price_codes").index(held) for held in (code, None))
    for column in PRICES:
        put(job, column, spare, changed.get(column, values(job, column)[at]))


def mending(report):
    """What the check of the lines says once it fails."""
    return next(check.advice for check in report.failed if check.rule == RULE)


def told(job):
    """Each line that is ordered and not left to others: its code, its trade, its fault on the Unit costs sheet."""
    columns = (values(job, f"line_{of}") for of in ("codes", "trade", "faults", "quantities", "offs"))
    rows = [row for *row, quantity, off in zip(*columns, strict=True) if quantity and not off]
    return [(*row, fault.removeprefix("Unit costs: ") if isinstance(fault, str) else fault) for *row, fault in rows]


def assert_first_named_and_all_counted(job, report):
    """See that the check names the first line with a fault, and counts them all."""
    (code, _, fault), *more = [line for line in told(job) if line[2]]
    assert mending(report) == f"Mend it on the Unit costs sheet: {code}: {fault}, and {len(more)} more."


@pytest.mark.parametrize(("column", "value", "fault"), [row[1:] for row in (*FAULTS, *UNKNOWN)])
def test_a_line_without_its_price_fails_by_its_code(column, value, fault):
    job = shipped(SCHEDULE, "US")
    put_price(job, "HINGE", column, value)
    assert f"Mend it on the Unit costs sheet: HINGE: {fault}" in mending(job.calculate())


@pytest.mark.parametrize(("like", "value"), HOURS.items())
def test_a_trade_without_its_hour_fails_by_the_first_code(like, value):
    job = shipped(SCHEDULE, "SI")
    put(job, "labour_rates", values(job, "labour_trades").index("Doors"), value)
    assert f"SLAB: {no_hour(like).replace(like, 'Doors')}, and " in mending(job.calculate())


def test_a_code_that_stands_twice_with_two_costs_fails():
    job = shipped(SCHEDULE, "US")
    put_twice(job, "HINGE")
    assert RULE not in {check.rule for check in job.calculate().failed}
    put_price(job, "HINGE", "price_costs", 35)
    assert "HINGE: two rows that differ" in mending(job.calculate())


@pytest.fixture(scope="module", params=ROOMS)
def faulty(request):
    """A room with every fault, each in the row of another code; two codes stand twice, and what is not ordered has no cost."""
    job = shipped(request.param, "US")
    for code, column, value, _ in FAULTS:
        put_price(job, code, column, value)
    put_twice(job, "POINT", price_costs=35)
    put_twice(job, "CIRCUIT")
    put_price(job, "VENTILATOR", "price_costs", None)
    return job, job.calculate()


@pytest.mark.parametrize(
    ("code", "fault"),
    [*((code, fault) for code, *_, fault in FAULTS), ("POINT", "two rows that differ"), ("CIRCUIT", "")],
)
def test_each_fault_of_a_room_is_told_of_its_lines(faulty, code, fault):
    job, _ = faulty
    assert {line[2] for line in told(job) if line[0] == code} == {fault}


def test_no_other_line_of_a_room_is_told_of(faulty):
    job, report = faulty
    assert {code for code, _, fault in told(job) if fault} == {*(code for code, *_ in FAULTS), "POINT"}
    assert_first_named_and_all_counted(job, report)


def test_a_worded_cost_leaves_no_error_that_hides_it(faulty):
    _, report = faulty
    assert not report.errors


def test_a_line_that_is_not_ordered_needs_no_price(faulty):
    job, _ = faulty
    lines = zip(values(job, "line_codes"), values(job, "line_faults"), strict=True)
    assert {fault for code, fault in lines if code == "VENTILATOR"} == {""}


@pytest.mark.parametrize("name", ROOMS)
def test_a_code_or_a_trade_that_is_not_there_is_told_of_in_a_room(name):
    job = shipped(name, "US")
    for code, column, value, _ in UNKNOWN:
        put_price(job, code, column, value)
    report = job.calculate()
    assert {(code, fault) for code, _, fault in told(job) if isinstance(fault, str) and fault} == {
        (code, fault) for code, *_, fault in UNKNOWN
    }
    assert "Mend it on the Unit costs sheet: HINGE: code not found, and " in mending(report)


@pytest.mark.parametrize("name", ROOMS)
def test_every_line_of_a_trade_without_its_hour_is_told_of(name):
    job = shipped(name, "SI")
    for trade, value in HOURS.items():
        put(job, "labour_rates", values(job, "labour_trades").index(trade), value)
    report = job.calculate()
    expected = {trade: {no_hour(trade) if trade in HOURS else ""} for trade in (*HOURS, "Site")}
    assert {trade: {fault for _, its, fault in told(job) if its == trade} for trade in expected} == expected
    assert_first_named_and_all_counted(job, report)


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


SHARES = {"overhead": 0.1237, "contingency": 0.0411, "margin": 0.1873, "tax": 0.0771, "level_markup": 0.0613}


@cache
def uneven(name, system):
    """A job whose shares, and whose rate of one line, leave parts of a cent."""
    job = shipped(name, system)
    put_price(job, "HINGE", "price_rates", 7)
    if name in ROOMS:
        job.set(SHARES)
    job.calculate()
    return job


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", ROOMS)
@pytest.mark.parametrize("end", ["", "_pair", "_single"])
def test_the_steps_add_up_to_the_cent(name, system, end):
    found = named(uneven(name, system))
    direct, overhead, contingency, level, margin, before, tax, price = cents(*(found[step + end] for step in STEPS))
    assert direct + overhead + contingency == cents(found["total_cost" + end])[0]
    assert direct + overhead + contingency + level + margin == before
    assert before + tax == price
    assert level / 100 == pytest.approx(found["total_cost" + end] * 0.0613, abs=0.005)
    assert before / 100 == pytest.approx((found["total_cost" + end] + level / 100) / (1 - 0.1873), abs=0.005)


@pytest.mark.parametrize("name", [*ROOMS, SCHEDULE])
def test_lines_trades_and_openings_add_up_to_the_cent(name):
    job = uneven(name, "US")
    found = named(job)
    for material, labour, whole in zip(
        *(cents(*values(job, f"line_{part}")) for part in ("material", "labour", "cost")), strict=True
    ):
        assert material + labour == whole
    if name == SCHEDULE:
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

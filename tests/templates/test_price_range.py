"""The price range of booth and conversion: against closed forms, SciPy's beta distribution, and plain arithmetic."""

from functools import cache

import numpy as np
import pytest

from stillbook.templates.parts.quiet_room.range_inputs import LINES
from stillbook.workbook.file.address import Area
from stillbook.workbook.job.inputs import InputError
from templates.columns import calculated, named, put, shipped, values

NAMES = ("booth-estimate", "room-conversion")
EACH = [(name, system) for name in NAMES for system in ("US", "SI")]
KEYS = [f"{trade} {what}".strip().lower().replace(" ", "_") for trade, what in LINES]
FIXED = {f"range_{side}_{key}": 0 for side in ("low", "high") for key in KEYS}
"""Every line without a range."""


BOOTH = ("booth-estimate", "US")
CORRELATIONS = dict(zip(EACH, (0, 0.3, 1, 0.3), strict=True))
AIR = {"range_low_air_labour": 0.25, "range_high_air_labour": 0.5}


@cache
def ranged(name, system):
    """A template with a correlation of its own and the labour of the air less certain, and its report: for tests to read."""
    return calculated(name, system, {"trade_correlation": CORRELATIONS[name, system], **AIR})


def found(**changes):
    """The named values of a booth with inputs changed."""
    return named(calculated("booth-estimate", "US", changes)[0])


def ranges(job):
    """Low, likely and high of the lines."""
    return (np.array(values(job, name), dtype=float) for name in ("range_lows", "range_likely", "range_highs"))


def pert(low, likely, high):
    """The beta distribution that PERT takes: its shapes are 1 + 4 (m - a) / (b - a) and 1 + 4 (b - m) / (b - a)."""
    from scipy import stats  # it takes a while to load, in each process that collects the tests

    width = high - low
    return stats.beta(1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width, low, width)


def steps(cost, *, tax):
    """Price of a direct cost by the template's own shares: overhead 12 %, no contingency, margin 20 % of the price."""
    return cost * 1.12 / 0.8 * (1 + tax)


@pytest.mark.parametrize(("name", "system"), EACH)
def test_mean_deviation_and_drivers_are_those_of_the_moments(name, system):
    """SciPy's moments of each line; σ² = Σᵢ Σⱼ ρᵢⱼ σᵢ σⱼ, of which a line brings the terms of its own row."""
    job, _ = ranged(name, system)
    correlation = CORRELATIONS[name, system]
    lines = [pert(*line) if line[2] > line[0] else None for line in zip(*ranges(job), strict=True)]
    likely = values(job, "range_likely")
    means = [line.mean() if line else at for line, at in zip(lines, likely, strict=True)]
    deviations = np.array([line.std() if line else 0 for line in lines])
    alike = np.array([[1 if a is b else correlation * (a[0] == b[0]) for b in LINES] for a in LINES])
    terms = alike * np.outer(deviations, deviations)
    at = named(job)
    assert at["range_mean"] == pytest.approx(sum(means), rel=1e-12)
    assert at["range_deviation"] == pytest.approx(np.sqrt(terms.sum()), rel=1e-12)
    assert values(job, "range_drivers") == pytest.approx(terms.sum(axis=1) / terms.sum(), rel=1e-9, abs=1e-15)
    assert at["cost_expected"] == pytest.approx(sum(means) * 1.12, abs=0.02)


@pytest.mark.parametrize(("name", "system"), EACH)
def test_low_and_high_lie_as_typed_from_the_sums_of_the_job_price_sheet(name, system):
    job, _ = ranged(name, system)
    low, likely, high = ranges(job)
    lines = zip(*(values(job, f"line_{what}") for what in ("trade", "material", "labour", "counts")), strict=True)
    sums = dict.fromkeys(LINES, 0.0)
    for trade, material, labour, counts in lines:
        sums[trade, "material"] = sums.get((trade, "material"), 0) + material * counts
        sums[trade, "labour"] = sums.get((trade, "labour"), 0) + labour * counts
    expected = [sums[line] for line in LINES]
    assert likely == pytest.approx(expected, abs=0.005)
    assert likely.sum() == pytest.approx(named(job)["direct_cost"], abs=0.005)
    at = LINES.index(("Air", "labour"))
    assert low[at] == pytest.approx(0.75 * likely[at], abs=0.006)
    assert high[at] == pytest.approx(1.5 * likely[at], abs=0.006)
    others = [place for place, (_, what) in enumerate(LINES) if what == "material"]
    assert low[others] == pytest.approx(0.95 * likely[others], abs=0.006)
    assert high[others] == pytest.approx(1.15 * likely[others], abs=0.006)


@pytest.mark.parametrize("confidence", [0.5, 0.65, 0.8, 0.95])
def test_of_one_line_the_cost_at_a_confidence_is_the_quantile_of_its_beta_distribution(confidence):
    """Places in the range are taken straight between 1025, and each of 8192 strata holds one chance: with no correlation,
    which one line alone does not need, nothing else is drawn."""
    typed = {"range_low_site_labour": 0.2, "range_high_site_labour": 0.6, "trade_correlation": 0}
    job, _ = calculated("booth-estimate", "US", {**FIXED, **typed, "price_confidence": confidence})
    low, likely, high = ranges(job)
    at = LINES.index(("Site", "labour"))
    line = pert(low[at], likely[at], high[at])
    cost = likely.sum() - likely[at] + line.ppf(confidence)
    found = named(job)
    assert found["cost_at_confidence"] == pytest.approx(1.12 * cost, abs=0.003 * line.std())
    assert found["cost_p50"] == pytest.approx(
        1.12 * (likely.sum() - likely[at] + line.ppf(0.5)), abs=0.003 * line.std()
    )
    assert found["contingency_needed"] == pytest.approx(
        1.12 * (line.ppf(confidence) - likely[at]), abs=0.003 * line.std()
    )
    assert values(job, "range_drivers")[at] == pytest.approx(1)


def test_two_lines_that_are_always_off_together_add_their_quantiles():
    typed = {"range_high_doors_material": 0.4, "range_low_doors_labour": 0.1, "range_high_doors_labour": 0.8}
    job, _ = calculated("booth-estimate", "SI", {**FIXED, **typed, "trade_correlation": 1})
    low, likely, high = ranges(job)
    at = [LINES.index(("Doors", what)) for what in ("material", "labour")]
    lines = [pert(low[line], likely[line], high[line]) for line in at]
    cost = likely.sum() - likely[at].sum() + sum(line.ppf(0.8) for line in lines)
    assert named(job)["cost_at_confidence"] == pytest.approx(1.12 * cost, abs=0.005 * sum(line.std() for line in lines))


def test_of_independent_trades_it_is_what_numpy_draws():
    """A million draws of each line by NumPy's beta: a quantile of the sum is known there to 0.2 % of its deviation, and
    on the sheet to the 2 % that its formula says."""
    assert CORRELATIONS[BOOTH] == 0
    job, _ = ranged(*BOOTH)
    chance = np.random.default_rng(7)
    total = np.zeros(1_000_000)
    for low, likely, high in zip(*ranges(job), strict=True):
        width = high - low
        shapes = (1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width) if width else (1, 1)
        total += low + width * chance.beta(*shapes, len(total))
    found = named(job)
    assert found["cost_at_confidence"] / 1.12 == pytest.approx(np.quantile(total, 0.8), abs=0.02 * total.std())
    assert found["cost_p50"] / 1.12 == pytest.approx(np.quantile(total, 0.5), abs=0.02 * total.std())
    assert found["chance_of_likely"] == pytest.approx(np.mean(total <= found["direct_cost"]), abs=0.02)
    covered = found["direct_cost"] * 1.05
    assert found["chance_of_estimate"] == pytest.approx(np.mean(total <= covered), abs=0.02)


@pytest.mark.parametrize(("name", "system"), EACH)
def test_the_prices_come_by_the_steps_of_the_job_price(name, system):
    at = named(ranged(name, system)[0])
    tax = {"US": 0.0, "SI": 0.2}[system]
    assert at["price_likely"] == pytest.approx(steps(at["direct_cost"], tax=tax), abs=0.03)
    assert at["price_expected"] == pytest.approx(steps(at["range_mean"], tax=tax), abs=0.03)
    for what in ("p50", "at_confidence"):
        assert at[f"price_{what}"] == pytest.approx(at[f"cost_{what}"] / 0.8 * (1 + tax), abs=0.03)
    assert at["price_likely"] < at["price_p50"] < at["price_at_confidence"]
    assert at["contingency_share_needed"] == pytest.approx(
        at["cost_at_confidence"] / 1.12 / at["direct_cost"] - 1, abs=1e-6
    )


def test_a_level_of_the_client_moves_these_prices_too():
    plain, level = named(ranged(*BOOTH)[0]), found(trade_correlation=0, **AIR, level_name="B", level_markup=0.1)
    for price in ("price_likely", "price_expected", "price_p50", "price_at_confidence"):
        assert level[price] == pytest.approx(1.1 * plain[price], abs=0.03)


@pytest.mark.parametrize(("name", "system"), EACH)
def test_the_contingency_that_it_takes_brings_the_estimate_to_that_price(name, system):
    share = named(ranged(name, system)[0])["contingency_share_needed"]
    changes = {"trade_correlation": CORRELATIONS[name, system], **AIR, "contingency": share}
    at = named(calculated(name, system, changes)[0])
    assert at["price"] == pytest.approx(at["price_at_confidence"], abs=0.03)
    assert at["chance_of_estimate"] == pytest.approx(0.8, abs=0.001)


def test_allowances_and_accepted_alternates_count_as_they_are_typed():
    more = {"allowance_for_1": "floor", "allowance_amount_1": 1000, "alternate_text_1": "no paint"}
    plain = named(ranged(*BOOTH)[0])
    changed = found(trade_correlation=0, **AIR, **more, alternate_cost_1=-400, alternate_accepted_1="yes")
    for cost in ("cost_expected", "cost_p50", "cost_at_confidence"):
        assert changed[cost] - plain[cost] == pytest.approx(1.12 * 600, abs=0.02)
    assert changed["contingency_needed"] == pytest.approx(plain["contingency_needed"], abs=0.02)
    assert changed["chance_of_likely"] == pytest.approx(plain["chance_of_likely"], abs=1e-9)


def test_a_line_of_no_trade_is_among_the_other_lines():
    job = shipped("booth-estimate", "US")
    for name, value in (
        ("own_codes", "X1"),
        ("own_texts", "Crane"),
        ("own_quantities", 2),
        ("own_units", "days"),
        ("own_costs", 700),
    ):
        put(job, name, 0, value)
    job.calculate()
    *_, other = values(job, "range_likely")
    assert other == pytest.approx(1400)
    assert sum(values(job, "range_likely")) == pytest.approx(named(job)["direct_cost"], abs=0.005)


def test_without_a_range_there_is_no_chance_to_tell():
    at = found(**FIXED)
    assert at["range_deviation"] == 0
    assert at["price_at_confidence"] == at["price_p50"] == at["price_expected"] == at["price_likely"]
    assert (at["chance_of_estimate"], at["chance_of_likely"]) == ("no range", "no range")
    assert at["contingency_needed"] == 0


def test_a_chance_beyond_the_curve_is_not_told_as_a_number():
    assert found(contingency=0.5)["chance_of_estimate"] == "over 95%"
    low = {name: (0 if "low" in name else 0.3) for name in FIXED}
    assert found(contingency=0, **low)["chance_of_estimate"] == "under 5%"


@pytest.mark.parametrize(("name", "system"), EACH)
def test_the_lines_are_told_in_the_order_of_what_they_spread(name, system):
    job, _ = ranged(name, system)
    rows = [row for row in job.package.rows("Price range", Area(6, 2, 16, 13)) if row[10]]
    told = [(row[10], row[11]) for row in rows]
    shares = {row[0]: row[9] for row in rows}
    assert [share for _, share in told] == sorted(shares.values(), reverse=True)
    assert all(shares[label] == share for label, share in told)


def test_two_lines_alike_are_told_once_each():
    """Without range but for two lines of which the same share stays: equal shares are not one line told twice."""
    job = shipped("booth-estimate", "US")
    likely = values(job, "range_likely")
    alike = {"range_high_shell_material": 0.2, "range_high_shell_labour": 0.2 * likely[0] / likely[1]}
    job.set({**FIXED, "trade_correlation": 1, **alike})
    job.calculate()
    told = [row[10] for row in job.package.rows("Price range", Area(6, 2, 16, 13)) if row[10]]
    assert sorted(told) == ["Shell, labour", "Shell, material"]


SAID = "With a confidence of"


def on_the_proposal(job):
    """What the sentence below the price says of it, after how long it stands."""
    return [
        SAID + cell.partition(SAID)[2]
        for row in job.package.rows("Proposal", Area(1, 2, 140, 8))
        for cell in row
        if SAID in str(cell)
    ]


@pytest.mark.parametrize(("name", "system"), EACH)
def test_the_client_reads_of_it_when_the_office_says_so(name, system):
    job, _ = ranged(name, system)
    assert (named(job)["confidence_sentence"], on_the_proposal(job)) == ("", [])
    job, _ = calculated(name, system, {"say_confidence": "yes", "contingency": 0, "price_confidence": 0.9})
    price = f"{named(job)['price_at_confidence']:,.2f} {'USD' if system == 'US' else 'EUR'}"
    sentence = f"{SAID} 90%, by our ranges of cost, the price does not exceed {price}, tax included."
    assert on_the_proposal(job) == [sentence]
    job, _ = calculated(name, system, {"say_confidence": "yes", "contingency": 0.3})
    assert on_the_proposal(job) == [f"{SAID} 80%, by our ranges of cost, the price does not exceed the total above."]


def test_no_confidence_is_promised_while_a_line_has_no_price():
    job = shipped("booth-estimate", "US")
    job.set({"say_confidence": "yes"})
    put(job, "price_costs", values(job, "price_codes").index(values(job, "line_codes")[0]), None)
    job.calculate()
    assert named(job)["confidence_sentence"].startswith("With what confidence the price holds is not known")
    assert on_the_proposal(job) == []


@pytest.mark.parametrize("name", NAMES)
def test_programs_are_given_the_results(name):
    _, report = ranged(name, "US")
    wanted = {"cost_expected", "cost_at_confidence", "contingency_needed", "price_at_confidence"}
    assert wanted <= {result.name for result in report.results}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("price_confidence", 0.99),
        ("range_low_air_material", 1),
        ("trade_correlation", -0.1),
        ("say_confidence", "maybe"),
    ],
)
def test_what_makes_no_range_is_refused(name, value):
    with pytest.raises(InputError, match=name):
        shipped("booth-estimate", "US").set({name: value})

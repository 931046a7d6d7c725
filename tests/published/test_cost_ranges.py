"""Costs as ranges against the closed forms of their distributions and an independent library's."""

import numpy as np
import pytest

from published.printed import cases
from stillbook import catalogue
from stillbook.trade.pricing.ranges import sums_drawn

LOW, LIKELY, HIGH = (900, 4000, 1800), (1000, 5000, 2000), (1400, 8000, 2600)
THREE = (LOW, LIKELY, HIGH)
MANY = (np.linspace(90, 2700, 30).tolist(), np.linspace(100, 3000, 30).tolist(), np.linspace(140, 4200, 30).tolist())
TRADES = [("walls", "doors", "air")[place % 3] for place in range(30)]


def of_triangle(low, likely, high):
    from scipy import stats  # it takes a while to load, in each process that collects the tests

    return stats.triang((likely - low) / (high - low), low, high - low)


def of_pert(low, likely, high):
    from scipy import stats

    width = high - low
    return stats.beta(1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width, low, width)


SHAPES = [("triangular", of_triangle), ("PERT", of_pert)]


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("cost_ranges"))
def test_a_published_figure(formula, arguments, expected, tolerance):
    found = catalogue.call(formula, *arguments)
    assert (found[0][0] if isinstance(found, list) else found) == pytest.approx(expected, rel=0, abs=tolerance)


@pytest.mark.parametrize(("correlation", "deviation"), [(0, 873.4), (0.3, 956.8), (1, 1127.8)])
def test_the_deviation_of_three_lines(correlation, deviation):
    """σ² = Σ σᵢ² + 2 ρ Σ σᵢ σⱼ; the figures were computed apart."""
    assert catalogue.call("COSTSUM", *THREE, correlation)[0] == pytest.approx([8900, deviation], rel=0, abs=0.05)


@pytest.mark.parametrize(("shape", "distribution"), SHAPES)
@pytest.mark.parametrize("line", [(900, 1000, 1400), (900, 900, 1400), (900, 1400, 1400), (0, 700, 800)])
def test_one_line_is_its_distribution(line, shape, distribution):
    """scipy.stats; one line of 8192 strata follows its distribution within a strata's width."""
    exact = distribution(*line)
    assert catalogue.call("EXPECTEDCOST", *line, shape) == pytest.approx(exact.mean(), rel=1e-12)
    assert catalogue.call("COSTDEVIATION", *line, shape) == pytest.approx(exact.std(), rel=1e-12)
    for confidence in (0.1, 0.5, 0.8, 0.9):
        found = catalogue.call("COSTATCONFIDENCE", confidence, *line, 0, "", shape)
        assert found == pytest.approx(exact.ppf(confidence), rel=0, abs=2e-4 * (line[2] - line[0]))


@pytest.mark.parametrize(("shape", "distribution"), SHAPES)
@pytest.mark.parametrize("line", [(900, 1000, 1400), (900, 900, 1400), (900, 1400, 1400), (0, 700, 800)])
def test_each_stratum_has_its_cost(line, shape, distribution):
    """scipy.stats; PERT is summed by steps, and known to a millionth of its range."""
    drawn = np.sort(sums_drawn(*(np.array([value], dtype=float) for value in line), 0, None, shape))
    exact = distribution(*line).ppf((np.arange(len(drawn)) + 0.5) / len(drawn))
    assert drawn == pytest.approx(exact, rel=0, abs=1e-6 * (line[2] - line[0]))


@pytest.mark.parametrize(("confidence", "printed"), [(0.1, 970.71), (0.5, 1083.77), (0.8, 1200.00), (0.9, 1258.58)])
def test_quantiles_of_a_triangle(confidence, printed):
    """Closed form of the triangular distribution."""
    found = catalogue.call("COSTATCONFIDENCE", confidence, 900, 1000, 1400, 0)
    assert found == pytest.approx(printed, rel=0, abs=0.05)


@pytest.mark.parametrize("shape", ["triangular", "PERT"])
@pytest.mark.parametrize("correlation", [0, 0.3, 0.6])
@pytest.mark.parametrize("lines", [(*THREE, None), (*MANY, TRADES), (*MANY, None)])
def test_what_is_sampled_has_the_moments_of_the_closed_form(lines, correlation, shape):
    """A deviation of 8192 draws is known to 0.8 %, one standard error of 1 / √(2 n); a mean to σ / √n."""
    *ranges, trades = lines
    drawn = sums_drawn(*(np.array(values, dtype=float) for values in ranges), correlation, trades, shape)
    mean, deviation = catalogue.call("COSTSUM", *ranges, correlation, trades, shape)[0]
    assert drawn.mean() == pytest.approx(mean, rel=0, abs=2 * deviation / np.sqrt(len(drawn)))
    assert drawn.std() == pytest.approx(deviation, rel=0.016)


def test_all_together_at_full_correlation():
    """With a correlation of 1 lines of one shape move as one: their quantiles add."""
    one = [catalogue.call("COSTATCONFIDENCE", c, *(values[0] for values in MANY), 1) for c in (0.2, 0.5, 0.8)]
    shares = np.array(MANY[1]) / MANY[1][0]
    many = catalogue.call("COSTATCONFIDENCE", [[0.2], [0.5], [0.8]], *MANY, 1)
    assert np.array(many)[:, 0] == pytest.approx(np.array(one) * shares.sum(), rel=1e-9)


@pytest.mark.parametrize(("confidence", "normal"), [(0.8, 9635)])
def test_many_independent_lines_come_near_a_normal_sum(confidence, normal):
    """The normal P80 of three skew lines was computed apart; the sampled one lies near it, not on it."""
    from scipy import stats

    mean, deviation = catalogue.call("COSTSUM", *THREE, 0)[0]
    assert stats.norm(mean, deviation).ppf(confidence) == pytest.approx(normal, abs=0.5)
    mean, deviation = catalogue.call("COSTSUM", *MANY, 0)[0]
    found = catalogue.call("COSTATCONFIDENCE", confidence, *MANY, 0)
    assert found == pytest.approx(stats.norm(mean, deviation).ppf(confidence), rel=0, abs=0.03 * deviation)

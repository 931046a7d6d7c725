"""The search against the full grid, on spaces small enough to try every variant."""

import itertools

import numpy as np
import pytest

from stillbook.office.explore.front import best_value, front, three
from stillbook.office.explore.search import Judged, search
from stillbook.office.explore.space import Choice, Option, Space
from workbook import choices

COUNTS = (6, 10, 2, 2, 8)


def toy(counts=COUNTS):
    """A space whose choices have so many options, numbers but for those of two."""
    return Space(
        tuple(
            Choice(f"c{place}", tuple(Option(str(n), {f"c{place}": float(n)}) for n in range(count)), count > 2)
            for place, count in enumerate(counts)
        )
    )


def judged(point):
    """Price, isolation and level of a room of so many boards, such a gap, door and wool; the last choice is of no use."""
    boards, gap, door, wool, idle = point
    price, stc, level = choices.by_hand(boards + 1, gap + 1, ("single", "pair")[door], ("no", "yes")[wool])
    faults = (boards + gap > 11) + (door == 1 and gap == 0)
    return Judged((price + 11 * idle, -stc, level), faults)


def run(space, most, judge=judged):
    """All variants that a search tries, with what became of each."""
    found = {}
    steps = search(space, most)
    points = next(steps)
    while True:
        found.update((point, judge(point)) for point in points)
        try:
            points = steps.send([found[point] for point in points])
        except StopIteration:
            return found


def best(found):
    """The goals on the front of what stands."""
    goals = [one.goals for one in found.values() if not one.faults]
    return {goals[place] for place in front(goals)}


GRID = {point: judged(point) for point in itertools.product(*map(range, COUNTS))}


def test_where_there_are_few_all_are_tried_in_order():
    space = toy((3, 2, 2, 2, 1))
    found = run(space, 24)
    assert list(found) == list(itertools.product(range(3), range(2), range(2), range(2), range(1)))


def volume(goals, low, high):
    """The share of the box between the best and the worst of the whole grid that some point of a front is better than."""
    grid = np.stack(np.meshgrid(*[np.linspace(0, 1, 24)] * 3), axis=-1).reshape(-1, 3)
    scaled = (np.asarray(sorted(goals)) - low) / (high - low)
    return (scaled[None] <= grid[:, None]).all(-1).any(-1).mean()


@pytest.mark.parametrize(("most", "share"), [(200, 0.94), (400, 0.97), (800, 1)])
def test_the_front_of_a_search_is_near_that_of_the_full_grid(most, share):
    whole = best(GRID)
    low, high = np.min(list(whole), axis=0), np.max(list(whole), axis=0)
    found = run(toy(), most)
    assert len(found) == most
    reached = volume(best(found), low, high) / volume(whole, low, high)
    assert share <= reached <= 1


def test_the_search_does_better_than_chance_alone():
    whole = best(GRID)
    chance = np.random.default_rng(5)
    some = [list(GRID)[place] for place in chance.choice(len(GRID), 300, replace=False)]
    by_chance = best({point: GRID[point] for point in some})
    assert len(best(run(toy(), 300)) & whole) > 2 * len(by_chance & whole)


def test_the_same_budget_gives_the_same_variants_in_the_same_order():
    assert list(run(toy(), 150).items()) == list(run(toy(), 150).items())


def test_no_variant_is_tried_twice_and_the_budget_is_kept():
    for most in (1, 2, 7, 24, 25, 100, len(GRID) - 1):
        assert len(run(toy(), most)) == most


def test_where_nothing_stands_the_fewest_faults_lead_on():
    def hard(point):
        return Judged((float(sum(point)), 0.0, 0.0), sum(a != b for a, b in zip(point, (5, 9, 1, 1, 7), strict=True)))

    assert any(not one.faults for one in run(toy(), 400, hard).values())


def test_a_result_that_is_no_number_leads_nowhere_and_stops_nothing():
    assert len(run(toy(), 100, lambda point: Judged(None, 1))) == 100


OFFERS = [
    # goals of a front, the three to show
    ([], []),
    ([(1, 1)], [0]),
    ([(1, 2), (2, 1)], [0, 1]),
    ([(0, 10), (4, 1), (10, 0)], [0, 1, 2]),
    ([(0, 10), (1, 8), (5, 5), (10, 0)], [0, 1, 3]),
    ([(0, 0, 5), (9, -9, 5), (9, 0, 1)], [0, 1, 2]),
]


@pytest.mark.parametrize(("goals", "shown"), OFFERS)
def test_three_are_shown(goals, shown):
    assert three(goals) == shown


def test_the_best_value_has_the_least_sum_of_scaled_goals():
    # scaled: (0, 1), (0.4, 0.1), (1, 0)
    assert best_value([(0, 10), (4, 1), (10, 0)])[0] == 1
    assert best_value([(5, 3), (5, 4)]) == [0, 1]

"""What surfaces absorb: the table, wool, the rating, and the room's sum."""

import pytest

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.trade.room.absorption import surfaces, wool_absorption

CARPET = [0.02, 0.06, 0.14, 0.37, 0.6, 0.65]


@pytest.mark.parametrize(
    "name", ["Carpet, heavy, on concrete", "carpet heavy on  concrete", "CARPET, HEAVY, ON CONCRETE"]
)
def test_a_surface_is_found_however_it_is_spelled(name):
    assert call("ABSORPTION", name) == [CARPET]


@pytest.mark.parametrize("surface", surfaces().values(), ids=lambda surface: surface.name)
def test_a_row_of_the_table_is_whole(surface):
    assert len(surface.coefficients) == 6
    assert all(0 < coefficient <= 1 for coefficient in surface.coefficients)
    assert surface.source
    assert surface.confidence


def test_the_list_of_one_group():
    floors = call("SURFACES", "Floors")
    assert {row[1] for row in floors[1:]} == {"Floors"}
    assert len(call("SURFACES")) == len(surfaces()) + 1


@pytest.mark.parametrize(
    ("coefficients", "rating"),
    [
        ([0, 0.2, 0.2, 0.2, 0.2, 0], 0.2),
        ([0, 0.22, 0.22, 0.22, 0.22, 0], 0.2),
        ([0, 0.225, 0.225, 0.225, 0.225, 0], 0.25),
        ([1, 0, 0, 0, 0, 1], 0.0),
        ([0.2, 0.8, 1.1, 1.1, 1.0, 1.0], 1.0),
    ],
)
def test_nrc(coefficients, rating):
    assert call("NRCRATING", coefficients) == rating


@pytest.mark.parametrize("change", [{"thickness": 0.1}, {"air_space": 0.05}])
def test_more_depth_absorbs_more_bass(change):
    thin = wool_absorption(0.05)
    deep = wool_absorption(**{"thickness": 0.05, **change})
    assert (deep[:3] > thin[:3]).all()


@pytest.mark.parametrize(
    "arguments", [(0.005,), (1,), (0.05, 2), (0.05, 0, 1000), (0.05, 0, 100_000), (0.025, 0.6, 50_000)]
)
def test_wool_absorbs_no_less_than_nothing_and_no_more_than_all(arguments):
    coefficients = wool_absorption(*arguments)
    assert ((coefficients > 0) & (coefficients < 1)).all()


SUMS = [
    # areas, absorption, objects, units, absorption area by octave
    ([10, 20], [0.1, 0.2], None, "SI", [5]),
    ([[10], [20]], [[0.1], ["20%"]], None, "SI", [5]),
    ([10, 20], [0.1, 0.2], 1.5, "SI", [6.5]),
    (100, "Carpet, heavy, on concrete", None, "US", [2, 6, 14, 37, 60, 65]),
    ([100, 50], [["Carpet, heavy, on concrete"], [0.1]], None, "US", [7, 11, 19, 42, 65, 70]),
    ([100], [CARPET], [1, 1, 1, 2, 2, 2], "US", [3, 7, 15, 39, 62, 67]),
    ([10, None, 20], [[0.1], [None], [0.2]], None, "SI", [5]),
    ([10, 0], [[0.1], [None]], None, "SI", [1]),
    (["100 ft²"], [1], None, "SI", [9.290304]),
]


@pytest.mark.parametrize(("areas", "absorption", "objects", "units", "expected"), SUMS)
def test_the_absorption_of_a_room(areas, absorption, objects, units, expected):
    assert call("ROOMABSORPTION", areas, absorption, objects, units)[0] == pytest.approx(expected)


REFUSED = [
    (("ABSORPTION", "Carpet heavy concrete"), Code.VALUE, 'did you mean "Carpet, heavy, on concrete"'),
    (("ABSORPTION", "Wool pannel 50 mm"), Code.VALUE, '"Wool panel 50 mm, 40 kg/m³"'),
    (("ABSORPTION", "zzz"), Code.VALUE, "STILL_SURFACES"),
    (("ABSORPTION", None), Code.NOT_AVAILABLE, "surface is blank"),
    (("NRCRATING", [0.1] * 5), Code.VALUE, "has 5 values"),
    (("WOOLABSORPTION", 0), Code.NUMBER, "thickness is 0"),
    (("WOOLABSORPTION", "2 lb"), Code.VALUE, "a mass where a length"),
    (("ROOMABSORPTION", [10, 20], [0.1]), Code.VALUE, "2 areas and 1 surfaces"),
    (("ROOMABSORPTION", [10, 20], [[0.1], [None]]), Code.NOT_AVAILABLE, "row 2 has an area but no absorption"),
    (("ROOMABSORPTION", [10, None], [[0.1], [0.2]]), Code.NOT_AVAILABLE, "row 2 has no area"),
    (("ROOMABSORPTION", [10], [2.5]), Code.NUMBER, "at most 1.5"),
    (("ROOMABSORPTION", [10], [[0.1, 0.2]]), Code.VALUE, "1 areas and 2 surfaces"),
    (("ROOMABSORPTION", [10, 10], [[0.1, 0.2], [0.1, 0.2]]), Code.VALUE, "has 2 columns"),
    (("ROOMABSORPTION", [10, 10], [["Carpet"], ["Brik, painted"]]), Code.VALUE, "absorption, row"),
    (("ROOMABSORPTION", [10], [ErrorValue(Code.REFERENCE)]), Code.REFERENCE, ""),
    (("ROOMABSORPTION", [None], [[None]]), Code.NOT_AVAILABLE, "areas is blank"),
]


@pytest.mark.parametrize(("arguments", "code", "reason"), REFUSED)
def test_what_is_refused(arguments, code, reason):
    answer = call(*arguments)
    assert answer.code is code
    assert reason in answer.reason

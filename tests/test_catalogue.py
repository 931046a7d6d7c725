"""The catalogue: its rules, its search, and every formula's example evaluated in a cell."""

from typing import Annotated

import pytest

from stillbook.catalogue import CatalogueError, call, check, find, formulas, is_fit
from stillbook.cells import Code, ErrorValue, FormulaError
from stillbook.formula import DECLARED, Formula, formula
from stillbook.quantities import LENGTH, SYSTEMS
from stillbook.readers import Quantity
from stillbook.results import Number
from stillbook.workbook.calculation.engine import evaluate

FAMILIES = {
    "Mass": "SURFACEMASS BUILDUPTHICKNESS MATERIALS TOTALMASS FLOORLOAD",
    "Isolation": "MASSLAW COINCIDENCE RESONANCE LEAFTL WALLTL STCRATING RWRATING ADAPTATION OITCRATING COMPOSITETL LEAKEDTL NOISEREDUCTION REQUIREDTL SOURCELEVELS",
    "Doors": "DOORTARGETMASS DOORMASS ADDEDMASS DOORMAKEUP DOORLEAK HINGES HINGELOAD SWINGAREA DOORARRANGEMENT",
    "Air": "OCCUPANTAIRFLOW OUTDOORAIRFLOW AIRCHANGES CO2LEVEL CO2MINUTES HEATGAIN TEMPERATURERISE COOLINGAIRFLOW",
    "Ducts": "DUCTAREA DUCTROUND DUCTSIZES DUCTVELOCITY DUCTEQUIVALENT DUCTOUTER DUCTINNER DUCTLOSS FITTINGLOSS FANFLOW FANSCALED",
    "Quiet air path": "FANSOUND LINEDDUCTLOSS BAFFLEBOXLOSS BAFFLEBOX ELBOWLOSS ENDREFLECTION AIRFLOWNOISE ROOMLEVEL DBSUM NCRATING NCCURVE",
    "Services": "HOLESIZE PENETRATIONLEAK SEALANTTUBES CIRCUITAMPS",
    "Inside the room": "ABSORPTION REVERBERATION TREATMENTAREA ROOMMODES",
    "Taking off and pricing": "SHEETS SCREWS PACKS PRICEFROMMARGIN PRICEFROMMARKUP CREWHOURS",
    "About the formulas": "WHY SOURCE QUANTITY",
}


@pytest.mark.parametrize("family", FAMILIES)
def test_each_family_is_complete(family):
    listed = {name for name, entry in formulas().items() if entry.family == family}
    assert set(FAMILIES[family].split()) <= listed


def first_row(answer):
    return tuple(answer[0]) if isinstance(answer, list) else answer


@pytest.mark.parametrize("name", formulas())
def test_the_example_gives_in_a_cell_what_the_reference_says(name):
    entry = formulas()[name]
    answer = evaluate(f"={entry.example.call}")
    expected = entry.example.gives
    if isinstance(answer, list) and not isinstance(expected, tuple):
        answer = answer[0][0]
    if isinstance(expected, tuple):
        assert (
            first_row(answer) == pytest.approx(expected, rel=1e-6)
            if _numbers(expected)
            else first_row(answer) == expected
        )
    elif isinstance(expected, str):
        assert answer == expected
    else:
        assert answer == pytest.approx(expected, rel=1e-4)


def _numbers(values):
    return all(isinstance(value, float | int) for value in values)


@pytest.mark.parametrize("name", formulas())
def test_everything_a_host_shows_is_there_and_fits(name):
    entry = formulas()[name]
    assert 10 <= len(entry.summary) <= 120
    assert not entry.summary.endswith(".")
    assert len(entry.source) > 8
    assert len(entry.arguments) <= 30
    for argument in entry.arguments:
        for system in SYSTEMS:
            assert 3 < len(argument.help_shown(system)) <= 512
        assert len(argument.words) <= 30


@pytest.mark.parametrize(
    ("name", "fit"),
    [
        ("DOORMASS", True),
        ("CO2LEVEL", True),
        ("AB", False),
        ("door", False),
        ("A1", False),
        ("XFD1048576", False),
        ("A_B", False),
    ],
)
def test_names_are_fit_for_every_host(name, fit):
    assert is_fit(name) is fit


@pytest.mark.parametrize("name", ["DOORMASS", "doormass", "STILL_DOORMASS", "still.doormass", " DoorMass "])
def test_a_formula_is_found_however_it_is_spelled(name):
    assert find(name).name == "DOORMASS"


def test_a_near_name_is_suggested():
    with pytest.raises(FormulaError, match="did you mean STILL_DOORMASS") as caught:
        find("DOORMAS")
    assert caught.value.code is Code.NAME


def test_an_unknown_formula_is_an_error_value():
    assert call("NOSUCH", 1) == ErrorValue(Code.NAME, "there is no formula STILL_NOSUCH")


WHY = [
    (("DUCTAREA", -30, 100), "airflow is -30 cfm: give more than 0 cfm"),
    (("SURFACEMASS", "88 lb"), "is a mass where a mass per area is needed"),
    (("SURFACEMASS", None), "is blank"),
    (("SURFACEMASS", "Gypsum bord"), "did you mean"),
    (("DUCTAREA", ErrorValue(Code.REFERENCE), 100), "airflow comes from a cell that holds #REF!"),
    (("DUCTAREA", 30, 100), "gives no error with these arguments"),
    (("DUCTAREA", [[30], [-1]], 100), "row 2, column 1: airflow is -1 cfm"),
]


@pytest.mark.parametrize(("arguments", "reason"), WHY)
def test_why_gives_the_reason(arguments, reason):
    assert reason in call("WHY", *arguments)


def test_the_slip_of_a_total_for_a_mass_per_area_never_passes():
    answer = call("DOORTARGETMASS", "88 lb", 36, 80)
    assert answer.code is Code.VALUE
    assert "is a mass where a mass per area is needed" in answer.reason


def declare(**changes) -> Formula:
    settings = {"family": "Mass", "summary": "s", "example": ("STILL_BROKEN(1)", 1.0), "source": "test"} | changes
    name = settings.pop("name", "BROKEN")
    doc = settings.pop("doc", "Broken.\n\nArgs:\n    width: W.\n")

    def broken(width: Annotated[float, Quantity(LENGTH)]) -> Annotated[float, Number(LENGTH)]:
        return width

    broken.__doc__ = doc
    formula(name, **settings)(broken)
    return DECLARED.pop()


BROKEN = [
    ({"doc": ""}, "has no docstring"),
    ({"doc": "Broken."}, "has an argument without help"),
    ({"source": " "}, "has no source"),
    ({"summary": ""}, "has no summary"),
    ({"example": ("STILL_OTHER(1)", 1.0)}, "has an example that calls something else"),
    ({"name": "AB1", "example": ("STILL_AB1(1)", 1.0)}, "never read as a cell"),
]


@pytest.mark.parametrize(("changes", "fault"), BROKEN)
def test_a_formula_against_the_rules_is_refused(changes, fault):
    with pytest.raises(CatalogueError, match=fault):
        check([declare(**changes)])


def test_a_name_declared_twice_is_refused():
    entry = declare()
    assert check([entry]) == {"BROKEN": entry}
    with pytest.raises(CatalogueError, match="declared twice"):
        check([entry, entry])

"""Variants of a job: what is calculated again is what the whole workbook gives, to the last digit."""

import math
import os
import random

import pytest

from stillbook.templates import demo
from stillbook.templates.shipped import template
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputError
from stillbook.workbook.job.labels import labels
from stillbook.workbook.job.reach import reach
from stillbook.workbook.job.variants import Variants, place_of
from workbook import books, choices

NAMES = ("boards", "gap", "door", "wool", "space")
ROUNDS = int(os.environ.get("STILLBOOK_VARIANTS", "3"))


@pytest.fixture
def job(tmp_path):
    return choices.saved(tmp_path / "job.xlsx")


def alike(one, other):
    """Whether two sets of figures are the same to 1e-9."""
    numbers = all(
        math.isclose(value, other.results[name], rel_tol=1e-9)
        if isinstance(value, float)
        else str(value) == str(other.results[name])
        for name, value in one.results.items()
    )
    return numbers and one.results.keys() == other.results.keys() and one.checks == other.checks


VARIANTS = [
    # values, price, isolation, what is denied
    ({}, *choices.by_hand(2, 1, "single", "no")[:2], ()),
    ({"boards": 3, "gap": "4 in"}, *choices.by_hand(3, 4, "single", "no")[:2], ()),
    ({"boards": 4, "wool": "yes"}, *choices.by_hand(4, 1, "single", "yes")[:2], ("Load on the floor",)),
    ({"door": "pair"}, *choices.by_hand(2, 1, "pair", "no")[:2], ("A pair has room",)),
    ({"door": "pair", "gap": 6, "space": 15}, *choices.by_hand(2, 6, "pair", "no")[:2], ("The shell fits the space",)),
    ({"gap": 2, "space": 15}, *choices.by_hand(2, 2, "single", "no")[:2], ()),
]


@pytest.mark.parametrize(("values", "price", "stc", "denied"), VARIANTS)
def test_a_variant_is_the_whole_estimate(job, values, price, stc, denied):
    variants = Variants(job, NAMES)
    found = variants.calculate(values)
    assert found.results["price"] == pytest.approx(price)
    assert found.results["stc"] == pytest.approx(stc, rel=1e-3)
    assert found.denied == denied
    assert alike(found, variants.alone(values))


def test_formulas_that_nothing_asked_for_looks_at_are_left_out(job):
    opened = Job.open(job)
    found = reach(opened.package, [place_of(opened.inputs["gap"])], [("Work", 3, 2)])
    assert found.formulas == {("Work", 3, 2)}
    assert ("Work", 1, 4) not in found.formulas | found.beside
    assert ("Room", 3, 3) in found.beside
    assert found.followed


def test_a_price_depends_on_some_inputs_and_not_on_others(job):
    variants = Variants(job, NAMES)
    assert variants.reaching(NAMES, "price") == {"boards", "gap", "door", "wool"}
    assert variants.reaching_check(NAMES, "A pair has room") == {"gap", "door"}


NOT_FOLLOWED = [
    ("a place worked out", {"price": '=1000+140*OFFSET(Room!C1,1,0)+9*gap+IF(door="pair",260,90)'}),
    ("whole columns", {"price": "=1000+SUM(Room!C:C)"}),
    ("an array", {"price": books.array("B3", "=SUM(ROUND(140*Room!C2:C3,0))+1000")}),
]  # fmt: skip


@pytest.mark.parametrize(("what", "formulas"), NOT_FOLLOWED)
def test_what_a_formula_does_not_tell_is_calculated_whole(tmp_path, what, formulas):
    path = tmp_path / "job.xlsx"
    path.write_bytes(books.saved(choices.built({**choices.FORMULAS, **formulas})))
    variants = Variants(path, NAMES)
    assert not variants.is_warm
    prices = {boards: variants.calculate({"boards": boards}).results["price"] for boards in (1, 3)}
    assert prices[3] > prices[1]
    assert prices[3] == variants.alone({"boards": 3}).results["price"]


def test_a_name_of_a_sheet_hides_that_of_the_workbook(tmp_path):
    made = choices.built({**choices.FORMULAS, "price": "=1000+140*extra"})
    made.defined_names["extra"] = books.DefinedName("extra", attr_text="Room!$C$3")
    made["Work"].defined_names["extra"] = books.DefinedName("extra", attr_text="Room!$C$2")
    (tmp_path / "job.xlsx").write_bytes(books.saved(made))
    variants = Variants(tmp_path / "job.xlsx", ("boards",))
    assert not variants.is_warm
    assert variants.calculate({"boards": 3}).results["price"] == 1420


def test_a_check_that_breaks_is_an_error_as_in_the_whole_workbook(tmp_path):
    broken = ("Broken by three", '=IF(boards=3,1/0,IF(gap>1,"Passes","Fails"))', "Mend it.")
    variants = Variants(choices.saved(tmp_path / "job.xlsx", checks=(*choices.CHECKS, broken)), NAMES)
    for values in ({"boards": 3}, {"boards": 2}, {"gap": 2}, {"space": 15}, {"boards": 3, "space": 15}):
        assert alike(variants.calculate(values), variants.alone(values)), values
    assert dict(variants.calculate({"boards": 3}).checks)["Broken by three"] == "error"


def test_a_check_that_only_some_variants_are_asked_is_none_of_the_others(tmp_path):
    asked = ("A pair costs little", '=IF(door<>"pair","Not asked",IF(price<1200,"Passes","Fails"))', "One door.")
    path = choices.saved(tmp_path / "job.xlsx", {"door": "single"}, checks=(*choices.CHECKS, asked))
    variants = Variants(path, NAMES)
    assert asked[0] not in {check.rule for check in variants.report.checks}
    assert variants.knows("costs little")
    assert "door" in variants.reaching_check(NAMES, asked[0])
    for values in ({"door": "pair"}, {"door": "single"}, {"boards": 3, "door": "pair"}):
        assert alike(variants.calculate(values), variants.alone(values)), values
    assert dict(variants.calculate({"door": "pair"}).checks)[asked[0]] == "fails"
    assert asked[0] not in dict(variants.calculate({"door": "single"}).checks)


def test_a_refusal_that_a_formula_catches_is_refused(tmp_path):
    caught = {"stc": "=30+IFERROR(LARGE(Room!C2:C3,boards),7)+SUMPRODUCT(gap*1)", "level": "=60-stc"}
    variants = Variants(choices.saved(tmp_path / "job.xlsx", formulas={**choices.FORMULAS, **caught}), NAMES)
    for boards in (1, 2, 3):
        assert alike(variants.calculate({"boards": boards}), variants.alone({"boards": boards}))


REFUSED = [
    ({"boards": 9}, "boards is 9: give a whole number from 1 to 6"),
    ({"roof": 1}, "there is no input roof"),
    ({"door": "none", "gap": 40}, 'door "none" is not known'),
]


@pytest.mark.parametrize(("values", "message"), REFUSED)
def test_what_an_input_does_not_take_is_refused(job, values, message):
    with pytest.raises(InputError, match=message):
        Variants(job, NAMES).calculate(values)


def test_a_job_is_never_written(job):
    before = job.read_bytes(), job.stat().st_mtime_ns
    variants = Variants(job, NAMES)
    variants.calculate({"boards": 3})
    variants.alone({"boards": 4})
    assert (job.read_bytes(), job.stat().st_mtime_ns) == before


@pytest.fixture(scope="module")
def booth(tmp_path_factory):
    path = tmp_path_factory.mktemp("booth") / "demo.xlsx"
    job = Job.open(template("booth-estimate").path("US"))
    job.set(demo.values())
    job.save(path)
    return path


def test_random_variants_of_the_booth_are_what_the_whole_workbook_gives(booth):
    inputs = Job.open(booth).inputs
    tried = {name: entry.spec.tries for name, entry in inputs.items() if entry.spec.tries}
    assert len(tried) >= 15
    variants = Variants(booth, tuple(tried))
    assert variants.is_warm
    chance = random.Random(8)
    for _ in range(ROUNDS):
        values = {name: chance.choice(held) for name, held in tried.items()}
        assert alike(variants.calculate(values), variants.alone(values)), values


def test_inputs_are_called_what_stands_beside_them(booth):
    job = Job.open(booth)
    found = labels(job.package, job.inputs)
    assert found["frame_gap"] == "Gap between frames"
    assert found["inner_count_1"] == "Own inner leaf, layer 1: sheets"
    assert found["fan_flow_2"] == "Point 2: airflow, cfm"

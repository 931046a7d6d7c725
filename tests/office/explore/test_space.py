"""What varies: spans, lists, drop-downs, marked values, and sets of values that go together."""

import pytest

from stillbook.office.explore.space import from_sets, from_text, marked, space
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputError
from workbook import choices


@pytest.fixture(scope="module")
def inputs(tmp_path_factory):
    return Job.open(choices.saved(tmp_path_factory.mktemp("space") / "job.xlsx", {"gap": 3})).inputs


OPTIONS = [
    ("boards", "1..3", [1, 2, 3]),
    ("gap", "1..2..0.5", [1, 1.5, 2]),
    ("gap", "1..3 in", [1, 2, 3]),
    ("gap", "6, 2,4", [2, 4, 6]),
    ("gap", "25.4 mm; 2", [1, 2]),
    ("door", "single,pair", ["single", "pair"]),
    ("Door", "", ["pair", "single"]),
    ("gap", "", [1, 2, 4, 6]),
    ("space", "20,", [None, 20]),
]


@pytest.mark.parametrize(("name", "text", "values"), OPTIONS)
def test_options_as_a_person_writes_them(inputs, name, text, values):
    choice = from_text(inputs, name, text)
    held = [next(iter(option.values.values())) for option in choice.options]
    assert sorted(held, key=str) == sorted(values, key=str)
    if None not in held and isinstance(held[0], float):
        assert held == sorted(held)


REFUSED = [
    ("roof", "1", "there is no input roof: those that are marked to be varied are boards, gap, door, wool"),
    ("gap", "1..", "gap: the unit"),
    ("gap", "3..1", "from less to more"),
    ("gap", "1..2..0.0001", "at most 1000 steps"),
    ("gap", "1,40", "gap is 40 in: give 0.5 to 12 in"),
    ("door", "one", 'door "one" is not known'),
    ("colour", "", "colour has no values of its own to try"),
]


@pytest.mark.parametrize(("name", "text", "message"), REFUSED)
def test_what_cannot_be_varied_is_told(inputs, name, text, message):
    with pytest.raises(InputError, match=message):
        from_text(inputs, name, text)


def test_a_workbook_marks_its_choices_and_what_it_holds_is_one_of_them(inputs):
    found = {choice.name: [option.label for option in choice.options] for choice in marked(inputs)}
    assert found == {"boards": ["1", "2", "3", "4"], "gap": ["1", "2", "3", "4", "6"], "door": ["pair", "single"], "wool": ["yes", "no"]}  # fmt: skip


SETS = {"gap": [1, 2], "wall": {"light": {"boards": 1, "wool": "yes"}, "heavy": {"boards": 4, "wool": "no"}}}


def test_values_that_go_together_are_one_choice(inputs):
    both = space(from_sets(inputs, SETS))
    assert (both.size, both.inputs) == (4, ("gap", "boards", "wool"))
    assert both.values((1, 1)) == {"gap": 2, "boards": 4, "wool": "no"}
    assert both.place_of({"gap": 2, "boards": 1, "wool": "yes"}) == (1, 0)
    assert both.place_of({"gap": 2, "boards": 1, "wool": "no"}) == (1, None)


NO_SETS = [
    ({"gap": 1}, "gap: write a list of values"),
    ({"wall": {"light": {"boards": 1}, "heavy": {"wool": "no"}}}, "wall: let each of its options give the same inputs"),
    ({"wall": {"light": {"roof": 1}}}, "there is no input roof"),
    ({"wall": {}}, "wall: write a list"),
]


@pytest.mark.parametrize(("given", "message"), NO_SETS)
def test_a_file_of_another_form_is_told(inputs, given, message):
    with pytest.raises(InputError, match=message):
        from_sets(inputs, given)


def test_an_input_varies_once(inputs):
    with pytest.raises(InputError, match="boards varies twice, in boards and in wall"):
        space([from_text(inputs, "boards", "1,2"), *from_sets(inputs, {"wall": SETS["wall"]})])
    with pytest.raises(InputError, match="nothing varies"):
        space([])

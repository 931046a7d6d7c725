"""``inputs``: what a workbook or a template takes."""

import pytest
from openpyxl import Workbook


def test_inputs_are_a_table(small, run):
    code, out, _ = run("inputs", small)
    rows = {line.split()[0]: line for line in out.splitlines() if line.strip()}
    assert code == 0
    assert out.splitlines()[0].split() == ["Name", "Value", "Unit", "Limits", "Help"]
    assert rows["surface_mass"].split()[1:6] == ["4.4", "lb/ft²", "0.5", "to", "200"]
    assert "pair; single" in rows["door"]
    assert "text or blank" in rows["remark"]
    assert "To be filled in" not in out


def test_the_inputs_of_a_template_say_what_is_to_be_filled_in(run):
    code, out, _ = run("inputs", "booth-estimate")
    assert code == 0
    assert "room_length" in out
    assert "To be filled in: client" in out


def test_one_input_is_shown_in_full(small, run):
    code, out, _ = run("inputs", small, "Surface_Mass")
    assert code == 0
    assert out.splitlines() == [
        "surface_mass",
        "Of one side of the wall.",
        "Now      4.4 lb/ft²",
        "Write    0.5 to 200 lb/ft²",
        "Default  4.4",
    ]
    assert '"pair", "single"' in run("inputs", small, "door")[1]


def test_an_input_that_takes_words_or_a_quantity_says_so(run):
    words = " ".join(run("inputs", "booth-estimate", "inner_material_1")[1].split())
    assert "Write one of those below, or something else as said above" in words
    assert "Plywood 3/4 in" in words


def test_a_date_is_shown_as_one(small, run):
    assert run("new", small, "dated.xlsx", "--set", "day=2026-03-31")[0] == 0
    assert "Now      2026-03-31" in run("inputs", "dated.xlsx", "day")[1]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["small.xlsx", "dor"], 'there is no input "dor": did you mean door'),
        (["small.xlsx", "Mass"], 'there is no input "Mass": did you mean surface_mass?'),
        (["small.xlsx", "zz"], 'there is no input "zz": leave the name out to list all'),
        (["gone.xlsx"], "gone.xlsx: there is no such file"),
        (["gone"], 'there is no template "gone": choose one of quick-quote, booth-estimate'),
        (["bare.xlsx"], "it has no named inputs"),
        (["small.xlsx", "--units", "SI"], "--units is for shipped templates"),
    ],
)
def test_inputs_that_cannot_be_shown(arguments, said, small, refused):
    Workbook().save("bare.xlsx")
    assert said in refused("inputs", *arguments)

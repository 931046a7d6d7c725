"""``eval``: a formula calculated, its unit, its reason for an error."""

import json

import pytest

from cli.command_line import only_line


@pytest.mark.parametrize(
    ("formula", "shown"),
    [
        # 4.4 lb/ft² over 20 ft² (common practice, no source)
        ('=STILL_DOORTARGETMASS(4.4,"36 in","80 in")', "88 lb"),
        ('=STILL_DOORTARGETMASS(4.4,"36 in","80 in","single")', "176 lb"),
        ('STILL_DOORTARGETMASS(4.4,"36 in","80 in")', "88 lb"),
        ('=still.doortargetmass(4.4, "36 in", "80 in")', "88 lb"),
        ('=STILL_DOORTARGETMASS(20,1000,2000,,,"SI")', "40 kg"),
        ('=STILL_DOORTARGETMASS(20,1000,2000,,,IF(1>0,"SI","US"))', "40 kg"),
        ('=STILL_DOORTARGETMASS(4.4,"36 in","80 in")*2', "176"),
        ('=SUM(STILL_DOORTARGETMASS(4.4,"36 in","80 in"),STILL_QUANTITY("2 lb","lb"))', "90"),
        # NIST Special Publication 811, Appendix B.8
        ('=STILL_QUANTITY("1 in","mm")', "25.4"),
        ('="a"&"b"', "ab"),
        ("=1>2", "FALSE"),
    ],
)
def test_eval_prints_the_value_with_its_unit(formula, shown, run):
    assert run("eval", formula) == (0, f"{shown}\n", "")


def test_eval_prints_rows_under_their_units(run):
    assert run("eval", "=STILL_DUCTROUND({30;60},100)") == (0, "in\n8\n12\n", "")
    code, out, _ = run("eval", "=STILL_DUCTSIZES(30,100)")
    assert code == 0
    rows = [line.split()[:3] for line in out.splitlines() if line[:1].isdigit()]
    assert rows[0] == ["8", "6", "48"]
    code, out, _ = run("eval", '=STILL_DOORTARGETMASS({4.4,6.6},"36 in","80 in")')
    assert out.splitlines()[-1].split() == ["88", "132"]
    assert "(lb)" in out


@pytest.mark.parametrize(
    ("formula", "code", "reason"),
    [
        ('=STILL_DOORTARGETMASS("88 lb","36 in","80 in")', "#VALUE!", "a mass where a mass per area is needed"),
        ('=STILL_DOORTARGETMASS(4.4,,"80 in")', "#N/A", "width is blank"),
        ('=STILL_DOORTARGETMASS(4.4,-36,"80 in")', "#NUM!", "width is -36 in"),
        ("=STILL_DORMASS(1)", "#NAME?", "there is no formula STILL_DORMASS: did you mean STILL_DOORMASS"),
        ("=1/0", "#DIV/0!", "divides by zero"),
        ("=STILL_DUCTROUND({30;-1},100)", "#NUM!", "airflow is -1 cfm"),
    ],
)
def test_an_error_is_told_with_its_reason(formula, code, reason, run):
    exit_code, out, err = run("eval", formula)
    line = only_line(err)
    assert exit_code == 1
    assert line.startswith(f"{code}: ")
    assert reason in line
    assert out == "" or code in out
    exit_code, out, err = run("eval", formula, "--json")
    assert (exit_code, err) == (1, "")
    report = json.loads(out)
    assert report["error"] == code
    assert reason in report["reason"]
    assert report["value"] is None or [{"error": code, "reason": report["reason"]}] in report["value"]


def test_json_has_value_and_unit_to_the_last_digit(run):
    _, out, _ = run("eval", "--json", '=STILL_DOORTARGETMASS(4.4,"36 in","80 in")')
    assert json.loads(out) == {"value": 88.0, "unit": "lb", "headings": [], "error": None, "reason": None}
    _, out, _ = run("eval", "--json", "=1/3")
    assert json.loads(out) == {"value": 1 / 3, "unit": None, "headings": [], "error": None, "reason": None}


@pytest.mark.parametrize(
    ("formula", "cell"),
    [
        ("=A1+1", "A1"),
        ("=2*$b$7", "$b$7"),
        ("=STILL_SURFACEMASS(A2:C4)", "A2:C4"),
        ("=SUM(A:C)", "A:C"),
        ("=SUM($2:$4)", "$2:$4"),
        ("='Take-off'!B7", "'Take-off'!B7"),
    ],
)
def test_a_cell_is_refused_where_there_is_no_workbook(formula, cell, refused):
    assert f"the formula refers to {cell}, and there is no workbook here" in refused("eval", formula)


@pytest.mark.parametrize(("formula", "shown"), [("=LET(x,1,x+1)", "2"), ("=LOG10(100)", "2"), ('="A1"', "A1")])
def test_what_only_looks_like_a_cell_is_calculated(formula, shown, run):
    assert run("eval", formula) == (0, f"{shown}\n", "")


@pytest.mark.parametrize("formula", ["", "=", "  ", "=1+", "=STILL_DOORMASS(60", "=STILL_DOORTARGETMASS(4.4,36 in)"])
def test_what_is_no_formula_is_refused(formula, refused):
    assert "formula" in refused("eval", formula)

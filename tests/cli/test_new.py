"""``new``: a workbook from a template, with inputs from options, files and other jobs."""

import datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from cli.command_line import cell, only_line
from stillbook.templates import shipped
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.lines import column, price_rows
from stillbook.workbook.job.notes import keep_note


def test_new_sets_inputs_and_saves_calculated_numbers(small, run, here):
    template = Path(small).read_bytes()
    code, out, err = run("new", small, "mine.xlsx", "--set", "surface_mass=32.22 kg/m²", "--set", "doors=2")
    assert (code, err) == (0, "")
    assert str(here / "mine.xlsx") in out
    # 32.22 kg/m² is 6.6 lb/ft² (NIST Special Publication 811), over 20 ft²
    assert cell("mine.xlsx", "B1") == pytest.approx(132, rel=1e-3)
    assert cell("mine.xlsx", "B2") == pytest.approx(264, rel=1e-3)
    assert cell("mine.xlsx", "B2", values=False) == "=B1*doors"
    assert Path(small).read_bytes() == template


def test_a_booth_of_ones_own(run):
    code, out, _ = run("new", "booth-estimate", "own.xlsx", "--set", "people=4", "--set", "room_length=2.7 m")
    assert code == 0
    assert Job.open("own.xlsx").inputs["people"].value == 4
    # 2.7 m in feet: NIST Special Publication 811
    assert Job.open("own.xlsx").inputs["room_length"].value == pytest.approx(8.858268, rel=1e-6)
    assert "Price" in out
    assert run("new", "Quick_Quote", "si.xlsx", "--units", "si")[0] == 0
    assert Job.open("si.xlsx").inputs["room_length"].spec.unit == "m"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("in.toml", 'door = "single"\ndoors = 3\nday = 2026-03-31\n# a remark\n'),
        ("in.csv", "name,value\ndoor,single\ndoors,3\nday,2026-03-31\n"),
        ("in.csv", "\ufeffName;Unit;Value\r\ndoor;;single\r\ndoors;;3\r\n;;\r\nday;;2026-03-31\r\n"),
        ("IN.CSV", 'name\tvalue\n"door"\tsingle\ndoors\t3\nday\t2026-03-31'),
    ],
)
def test_inputs_come_from_a_file(name, text, small, run):
    Path(name).write_text(text, "utf-8", newline="")
    assert run("new", small, "mine.xlsx", "--inputs", name)[0] == 0
    # a single door carries both sides: 2 × 4.4 lb/ft² × 20 ft² (common practice, no source)
    assert cell("mine.xlsx", "B2") == pytest.approx(3 * 176)
    assert cell("mine.xlsx", "A5") == (datetime.date(2026, 3, 31) - datetime.date(1899, 12, 30)).days


def test_a_job_in_other_units_keeps_the_currency_of_the_prices_it_comes_with(run):
    run("new", "booth-estimate", "us.xlsx", "--set", "room_length=10")
    code, out, _ = run("new", "booth-estimate", "si.xlsx", "--from", "us.xlsx", "--units", "SI")
    assert code == 0
    assert "the prices stay the template's, in EUR" in " ".join(out.split())
    held = Job.open("si.xlsx").inputs
    assert held["currency"].value == "EUR"
    assert held["room_length"].value == pytest.approx(3.048)


DOOR = {
    "marks": "B1",
    "widths": 36,
    "heights": 80,
    "kinds": "pair",
    "sides_a": 4.4,
    "sides_b": 4.4,
    "slabs": "Solid-core door slab 1-3/4 in light",
}


DOOR_ROW = [part for name, value in DOOR.items() for part in ("--set", f"{name}_2={value}")]


@pytest.mark.parametrize(
    ("given", "marks", "told"),
    [((), 9, True), (DOOR_ROW, 1, False), (("--set", "client=Quib"), 9, True)],
)
def test_the_example_rows_of_a_schedule_go_once_a_row_is_given(given, marks, told, run):
    code, out, _ = run("new", "door-schedule", "doors.xlsx", *given)
    assert code == 0
    held = Job.open("doors.xlsx").inputs
    assert sum(held[f"marks_{row}"].value not in (None, "") for row in range(1, 41)) == marks
    assert ("invented examples" in out) == told
    if not told:
        assert all(held[f"added_sheets_{row}"].value is None for row in range(1, 41))


def test_the_rows_of_a_schedule_come_from_a_list_in_a_file(run):
    rest = {name: [value, value] for name, value in DOOR.items() if name not in ("marks", "widths")}
    rows = ['marks = ["A1", "A2"]', 'widths = [36, "1 m"]', *(f"{name} = {value}" for name, value in rest.items())]
    Path("in.toml").write_text("\n".join(rows), "utf-8")
    Path("in.csv").write_text("name,value\nmarks_1,A3\nwidths_2,36\n")
    assert run("new", "door-schedule", "doors.xlsx", "--inputs", "in.toml", "--set", "widths_1=40")[0] == 0
    held = Job.open("doors.xlsx").inputs
    assert [held[f"marks_{row}"].value for row in (1, 2, 3)] == ["A1", "A2", None]
    # 1 m in inches: NIST Special Publication 811
    assert [held[f"widths_{row}"].value for row in (1, 2)] == pytest.approx([40, 39.37008])
    assert run("new", "doors.xlsx", "more.xlsx", "--inputs", "in.csv")[0] == 0
    assert [Job.open("more.xlsx").inputs[name].value for name in ("marks_1", "marks_2", "widths_2")] == ["A3", "A2", 36]
    code, out, _ = run("inputs", "doors.xlsx")
    assert code == 0
    assert "marks_1 to 40" in out
    assert "2 filled" in out
    assert "marks_2 " not in out


def test_set_wins_over_the_file(small, run):
    Path("in.toml").write_text("doors = 3\nclient = 'Other'\n")
    assert run("new", small, "mine.xlsx", "--inputs", "in.toml", "--set", "Doors=5")[0] == 0
    assert (cell("mine.xlsx", "A4"), cell("mine.xlsx", "A1")) == (5, "Other")


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("in.toml", "doors = ", "in.toml: "),
        ("in.toml", "[door]\nwidth = 3\n", "door is a section"),
        ("in.toml", "doors = [1, 2]\n", "doors is a list"),
        ("in.toml", "doors = true\n", "doors is TRUE"),
        ("in.csv", "", "its first line must name the columns: name,value"),
        ("in.csv", "doors,3\n", "its first line must name the columns: name,value"),
        ("in.csv", "name,value\ndoors\n", 'the row "doors" has no value'),
        ("in.csv", "name,value\ndoors,3\nDoors,4\n", "Doors is given twice"),
        ("in.csv", 'name,value\ndoors,"3\n', "check its quotes"),
        ("in.csv", 'name,value\nsurface_mass,"4,4"\n', "has a comma inside the number"),
        ("in.csv", b"name,value\nclient,\xff\xfe\n", "save it again as UTF-8"),
        ("in.txt", "doors = 3", "ends in .toml or .csv"),
        ("in.csv", "name,value\n" + "doors,3\n" * 200_000, "too long for a list of inputs"),
        ("gone.toml", None, "gone.toml: there is no such file"),
    ],
)
def test_a_file_of_inputs_that_cannot_be_read(name, text, said, small, refused):
    if text is not None:
        Path(name).write_bytes(text if isinstance(text, bytes) else text.encode())
    assert said in refused("new", small, "mine.xlsx", "--inputs", name)
    assert not Path("mine.xlsx").exists()


@pytest.mark.parametrize(
    ("settings_given", "said"),
    [
        (["doors"], '--set "doors": write name=value'),
        (["=3"], "write name=value"),
        (["doors=3", "DOORS=4"], "DOORS is given twice"),
        (["dors=3"], "there is no input dors: did you mean door"),
        (["surface_mass=-4.4"], "surface_mass is -4.4 lb/ft²: give 0.5 to 200 lb/ft²"),
        (["surface_mass=88 lb"], "a mass where a mass per area is needed"),
        (["surface_mass==4.4*2"], "surface_mass"),
        (["door=triple"], 'door "triple" is not known'),
        (["doors=1.5"], "doors is 1.5"),
        (["client="], "client may not be blank"),
        (["day=31.3.2026"], "is not a date"),
        (["doors=0", "door=triple"], "door "),
    ],
)
def test_a_refused_input_makes_no_file(settings_given, said, small, refused):
    options = [part for setting in settings_given for part in ("--set", setting)]
    assert said in refused("new", small, "mine.xlsx", *options)
    assert not Path("mine.xlsx").exists()


def test_an_existing_file_stays_as_it_is(small, refused):
    Path("mine.xlsx").write_bytes(b"mine")
    assert "mine.xlsx: it exists already: choose another name" in refused("new", small, "mine.xlsx")
    assert Path("mine.xlsx").read_bytes() == b"mine"


@pytest.mark.parametrize(
    ("file", "said"),
    [("mine.xls", "ends in .xlsx"), ("mine", "ends in .xlsx"), ("gone/mine.xlsx", "there is no folder gone")],
)
def test_a_place_that_takes_no_workbook(file, said, small, refused):
    assert said in refused("new", small, file)


def test_inputs_come_from_another_job(small, run):
    run("new", small, "first.xlsx", "--set", "client=First", "--set", "doors=3", "--set", "day=2026-03-31")
    Path("in.toml").write_text("doors = 4\n")
    code, out, err = run(
        "new", small, "next.xlsx", "--from", "first.xlsx", "--inputs", "in.toml", "--set", "client=Next"
    )
    assert (code, err) == (0, "")
    assert "5 inputs taken from first.xlsx" in out
    assert [cell("next.xlsx", f"A{row}") for row in range(1, 6)] == ["Next", "pair", 4.4, 4, cell("first.xlsx", "A5")]


def test_inputs_that_cannot_come_from_another_job_are_told(small, run):
    book = load_workbook(small)
    book.active["A3"], book.active["A8"] = 0.1, 7
    keep_note(book, "windows", "Door!$A$8", InputSpec("windows", "How many.", "windows", 0, 9).comment())
    book.save("other.xlsx")
    code, out, _ = run("new", small, "mine.xlsx", "--from", "other.xlsx")
    words = " ".join(out.split())
    assert code == 0
    assert "surface_mass (Door!A3) 0.1 the template does not take it" in words
    assert "windows (Door!A8) 7 the template has no such input" in words
    assert cell("mine.xlsx", "A3") == 4.4


def test_a_job_for_the_next_client_keeps_the_office_s_prices_and_leaves_the_client_behind(run):
    extras = {
        "allowance_for_1": "Blinds", "allowance_amount_1": 300, "alternate_text_1": "Lead door", "alternate_cost_1": 900,
        "fresh_share": 0.8, "alternate_accepted_1": "yes", "revision_number_1": "B", "revision_date_1": datetime.date(2026, 4, 2),
    }  # fmt: skip
    job = Job.open(shipped.template("booth-estimate").path("US"))
    job.set({"client": "First", "project": "Booth", "estimate_date": datetime.date(2026, 3, 31), "people": 3, **extras})
    ours = next(row for row in price_rows(job.package) if row.code == "SLAB")
    sheet, area = column(job.package, "price_costs")
    job.write({sheet: {(ours.row, area.first_column): Change(999.0)}})
    job.save("first.xlsx")
    code, out, _ = run("new", "booth-estimate", "next.xlsx", "--from", "first.xlsx")
    assert code == 0
    told = " ".join(out.split())
    assert "1 price is that of first.xlsx, not the template's" in told
    assert "Not taken, since it is that client's: client, project, reference, estimate_date" in told
    made = Job.open("next.xlsx")
    held = {name: entry.value for name, entry in made.inputs.items()}
    assert held["people"] == 3
    assert [held[name] for name in ("client", "project", "estimate_date", *extras)] == [None] * (3 + len(extras))
    assert next(row.cost for row in price_rows(made.package) if row.code == "SLAB") == 999


@pytest.mark.parametrize(("options", "unit"), [([], "m"), (["--units", "US"], "ft"), (["--units", "SI"], "m")])
def test_a_metric_job_is_followed_by_a_metric_one(options, unit, run):
    run("new", "quick-quote", "si.xlsx", "--units", "SI", "--set", "room_length=2.7")
    assert run("new", "quick-quote", "next.xlsx", "--from", "si.xlsx", *options)[0] == 0
    length = Job.open("next.xlsx").inputs["room_length"]
    # 2.7 m in feet: NIST Special Publication 811
    assert (length.spec.unit, length.value) == (unit, pytest.approx(2.7 if unit == "m" else 8.858268, rel=1e-6))


def test_a_missing_template_says_so(monkeypatch, here, refused):
    monkeypatch.setattr(shipped, "folder", lambda: here)
    assert "install Stillbook again" in refused("new", "booth-estimate", "mine.xlsx")


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.one_of(st.text(min_size=1, max_size=40), st.text(max_size=20).map("={}".format)))
def test_typed_text_never_becomes_a_formula(text, small, run):
    Path("typed.xlsx").unlink(missing_ok=True)
    code, _, err = run("new", small, "typed.xlsx", "--set", f"client={text}")
    if code == 2:
        only_line(err)
        assert not Path("typed.xlsx").exists()
        return
    found = load_workbook("typed.xlsx").active["A1"]
    assert found.data_type == "s"
    assert Job.open("typed.xlsx").inputs["client"].value == text.strip()

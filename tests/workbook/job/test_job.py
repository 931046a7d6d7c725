import os
import stat

import pytest

from stillbook.cells import Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import read_cell
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Check, Job
from stillbook.workbook.job.inputs import InputError, InputSpec
from stillbook.workbook.job.results import ResultSpec
from workbook import books

WORKBOOK = "xl/workbook.xml"
CHART = "xl/charts/chart1.xml"


def template(named: str = '=IF(client="","Waits","Passes")', length: float | str = 8, *, listed: bool = False) -> bytes:
    """A small template: two sizes and a leaf, a floor, a mass, and three checks, the second as ``named``.

    The leaf is of the table where ``listed``.
    """
    inputs = {
        "A1": "Length",
        "B1": length,
        "A2": "Width",
        "B2": 6,
        "A3": "Leaf",
        "B3": "2.2 lb/ft²",
        "A4": "Client",
        "B4": None,
    }
    results = {
        "B1": "=room_length*room_width",
        "B2": "=STILL_TOTALMASS(leaf,floor)",
        "A5": "Long enough", "B5": '=IF(room_length>=5,"Passes","Fails")', "C5": "Lengthen the room.",
        "A6": "Named", "B6": named, "C6": "Say for whom.",
        "A7": "Light enough", "B7": '=IF(mass<200,"Passes","Fails")', "C7": "Take fewer sheets.",
    }  # fmt: skip
    return books.book(
        {"Inputs": inputs, "Results": results},
        {
            "room_length": ("Inputs!$B$1", InputSpec("room_length", "Inside length.", "ft", 3, 60, 8).comment()),
            "room_width": ("Inputs!$B$2", InputSpec("room_width", "Inside width.", "ft", 3, 60, 6).comment()),
            "leaf": (
                "Inputs!$B$3",
                InputSpec("leaf", "Material or mass per area.", default="2.2 lb/ft²", material=listed).comment(),
            ),
            "client": ("Inputs!$B$4", InputSpec("client", "Name.", "text").comment()),
            "floor": ("Results!$B$1", ResultSpec("floor", "Floor", "ft²").comment()),
            "mass": ("Results!$B$2", ResultSpec("mass", "Mass", "lb").comment()),
            "checks": ("Results!$A$5:$C$7", "| checks"),
        },
    )


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "estimate.xlsx"
    path.write_bytes(template())
    return path


def results(report):
    return {result.name: result.value for result in report.results}


def test_a_job_from_start_to_end(path):
    job = Job.open(path)
    assert list(job.inputs) == ["room_length", "room_width", "leaf", "client"]
    job.set({"room_length": "10 ft", "client": "A client"})
    report = job.calculate()
    assert [(result.label, result.value, result.unit) for result in report.results] == [
        ("Floor", 60.0, "ft²"),
        ("Mass", pytest.approx(132.0), "lb"),
    ]
    assert [check.state for check in report.checks] == ["passes", "passes", "passes"]
    assert (report.errors, report.missing, report.formulas) == ((), (), 5)
    assert job.save() == path
    again = Job.open(path)
    assert again.inputs["room_length"].value == 10.0
    assert results(again.calculate()) == {"floor": 60.0, "mass": pytest.approx(132.0)}


def test_checks_say_what_to_do_and_what_is_missing(path):
    job = Job.open(path)
    job.set({"room_length": 60, "room_width": 60})
    report = job.calculate()
    assert report.checks[1] == Check("Named", "waits", "Say for whom.", ("client",))
    assert report.failed == (Check("Light enough", "fails", "Take fewer sheets."),)
    assert report.missing == ("client",)


def test_an_error_is_told_with_its_reason_everywhere(path):
    job = Job.open(path)
    job.set({"leaf": "88 lb"})
    report = job.calculate()
    reason = 'leaf: "88 lb" is a mass where a mass per area is needed (lb/ft² or kg/m²)'
    assert results(report)["mass"] == ErrorValue(Code.VALUE, reason)
    assert [(error.place, error.code, error.reason) for error in report.errors] == [
        ("Results!B2", Code.VALUE, reason),
        ("Results!B7", Code.VALUE, "comes from Results!B2"),
    ]
    assert report.checks[2] == Check("Light enough", "error", f"Results!B2 #VALUE!: {reason}")


def test_a_check_on_a_blank_waits(path):
    path.write_bytes(
        books.book(
            {"S": {"A1": "Rule", "B1": "=STILL_FLOORLOAD(D1,2,2)", "C1": "Do."}}, {"c": ("S!$A$1:$C$1", "| checks")}
        )
    )
    (check,) = Job.open(path).calculate().checks
    assert (check.state, check.advice) == ("waits", "Do.")


def written(path, cell, value):
    """The report of a workbook into whose input cell somebody typed something."""
    job = Job.open(path)
    job.write({"Inputs": {read_cell(cell): Change(value)}})
    return job, job.calculate()


@pytest.mark.parametrize(
    ("cell", "value", "reason"),
    [
        ("B1", 240.0, "room_length is 240 ft: give 3 to 60 ft"),
        ("B1", "240 ft", "room_length is 240 ft: give 3 to 60 ft"),
        ("B1", "88 lb", 'room_length: "88 lb" is a mass '),
        ("B1", "long", 'room_length: "long" is not understood'),
        ("B2", True, "room_width is TRUE: give 3 to 60 ft"),
        ("B2", ErrorValue(Code.NUMBER), "room_width holds #NUM!: give 3 to 60 ft"),
    ],
)
def test_an_input_cell_that_holds_what_its_input_does_not_take_is_named(path, cell, value, reason):
    _, report = written(path, cell, value)
    (refused,) = report.refused
    assert (refused.place, refused.reason.startswith(reason)) == (f"Inputs!{cell}", True)
    assert not report.stands


def test_text_with_a_unit_in_an_input_cell_is_read_as_a_number(path):
    job, report = written(path, "B1", "7 ft 6 in")
    assert report.read == ('room_length (Inputs!B1): "7 ft 6 in" is read as 7.5 ft',)
    assert job.inputs["room_length"].value == 7.5
    assert results(report)["floor"] == 45.0
    assert not report.refused


def test_a_word_for_a_material_is_set_as_its_name_in_the_table_and_told():
    job = Job(Package(template(listed=True)))
    job.set({"leaf": "3/4 ply"})
    job.set({"leaf": "5/8 drywall"})
    report = job.calculate()
    assert job.inputs["leaf"].value == "Gypsum board 5/8 in type X"
    assert report.read == ('leaf (Inputs!B3): "5/8 drywall" is read as "Gypsum board 5/8 in type X"',)
    with pytest.raises(InputError, match='did you mean "Gypsum board 1/2 in" or "Gypsum board 1/2 in type X"'):
        job.set({"leaf": "1/2 drywall"})
    job.set({"leaf": "MDF 3/4 in"})
    assert job.calculate().read == ()


def test_an_input_cell_with_a_formula_keeps_its_limits(path):
    job = Job(Package(template(length="=100*2.4")))
    (refused,) = job.calculate().refused
    assert (refused.place, refused.reason) == ("Inputs!B1", "room_length is 240 ft: give 3 to 60 ft")
    assert Job(Package(template(length="=2.5*4"))).calculate().stands


@pytest.mark.parametrize(
    ("formula", "state", "told"),
    [
        ('=IF(client="","Waits","Passes")', "waits", ("client",)),
        ('=IF(mistyped=1,"Passes","Fails")', "error", "Results!B6 #NAME?"),
        ('=IF(1/0>1,"Passes","Fails")', "error", "Results!B6 #DIV/0!"),
        ('=IF(MATCH("gone",A1:A3,0),"Passes","Fails")', "error", "Results!B6 #N/A"),
    ],
)
def test_a_broken_formula_is_an_error_and_a_blank_input_is_waited_for(path, formula, state, told):
    check = Job(Package(template(formula))).calculate().checks[1]
    assert check.state == state
    assert check.waits_for == told if state == "waits" else check.advice.startswith(told)


# --- inputs -----------------------------------------------------------------------------------------------------------


def test_inputs_are_set_together_or_not_at_all(path):
    job = Job.open(path)
    before = job.package.to_bytes()
    with pytest.raises(InputError) as caught:
        job.set({"room_length": 9, "room_width": "88 lb", "people": 3, "leaf": None})
    assert str(caught.value) == (
        'room_width: "88 lb" is a mass where a room length is needed (ft or m); '
        "there is no input people: list them with their limits; "
        "leaf may not be blank: give a number"
    )
    assert job.package.to_bytes() == before
    assert job.inputs["room_length"].value == 8.0


@pytest.mark.parametrize("name", ["room_length", "ROOM_LENGTH", " Room_Length "])
def test_the_case_of_a_name_does_not_matter(path, name):
    job = Job.open(path)
    job.set({name: 9})
    assert job.inputs["room_length"].value == 9.0


def test_a_misspelled_name_is_guessed(path):
    with pytest.raises(InputError, match="there is no input room_lenght: did you mean room_length"):
        Job.open(path).set({"room_lenght": 9})


def test_a_calculated_cell_is_no_input(path):
    with pytest.raises(InputError, match="there is no input floor"):
        Job.open(path).set({"floor": 9})


# --- saving -----------------------------------------------------------------------------------------------------------


def test_saving_calculates_what_was_set(path):
    job = Job.open(path)
    job.set({"room_length": 20})
    job.save()
    assert Package.open(path).value("Results", 1, 2) == 120.0


def test_saving_marks_the_results_as_current(path):
    assert b"fullCalcOnLoad" in books.parts(path.read_bytes())[WORKBOOK]
    Job.open(path).save()
    assert b"fullCalcOnLoad" not in books.parts(path.read_bytes())[WORKBOOK]


def test_calculating_a_calculated_file_changes_no_byte(path):
    Job.open(path).save()
    before = path.read_bytes()
    Job.open(path).save()
    assert path.read_bytes() == before


def test_all_else_in_the_file_keeps_its_bytes(tmp_path, rich):
    path = tmp_path / "rich.xlsx"
    path.write_bytes(rich)
    path.chmod(0o640)
    job = Job.open(path)
    job.set({"room_length": "9 ft"})
    job.save()
    old, new = books.raw_entries(rich), books.raw_entries(path.read_bytes())
    assert [entry[0] for entry in old] == [entry[0] for entry in new]
    changed = {a[0] for a, b in zip(old, new, strict=True) if a != b}
    assert changed == {books.SHEET1, "xl/worksheets/sheet2.xml", WORKBOOK, CHART}
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@pytest.mark.parametrize(
    "call",
    ["_xldudf_STILL_DOORMASS", "_xludf.STILL_DOORMASS", "STILL.DOORMASS", "[1]!STILL_DOORMASS", "still_doormass"],
)
def test_what_another_program_spelled_is_saved_in_the_neutral_spelling(tmp_path, call):
    said = f"{call}( is said here"
    path = tmp_path / "theirs.xlsx"
    path.write_bytes(books.book({"Doors": {"A1": f'={call}(60,1,B1,80)&"{said}"', "A2": said, "B1": 36}}))
    Job.open(path).save()
    package = Package.open(path)
    assert package.sheet("Doors").formulas[(1, 1)].text.removeprefix("=") == f'STILL_DOORMASS(60,1,B1,80)&"{said}"'
    assert package.value("Doors", 1, 1) == f"80{said}"
    assert package.value("Doors", 2, 1) == said


def test_a_chart_remembers_what_was_calculated_and_nothing_else_of_it_changes(rich):
    job = Job(Package(rich))
    for length in (9, 10):
        job.set({"room_length": length})
        job.calculate()
        shown = [job.package.value("Room", row, 2) for row in range(2, 6)]
        assert shown[0] == length
        points = "".join(f'<pt idx="{n}"><v>{value:.15g}</v></pt>' for n, value in enumerate(shown))
        kept = f'<numCache><formatCode>General</formatCode><ptCount val="4"/>{points}</numCache>'
        chart = books.parts(job.package.to_bytes())[CHART].decode()
        assert kept in chart
        assert chart.replace(kept, "") == books.parts(rich)[CHART].decode()


def test_a_copy_is_saved_under_another_name(path):
    job = Job.open(path)
    before = path.read_bytes()
    copy = path.with_name("copy.xlsx")
    assert job.save(copy) == copy
    assert path.read_bytes() == before
    job.set({"room_length": 9})
    assert job.save() == copy


REFUSED = [
    (
        lambda path: path.with_name("other.xlsx").write_bytes(b"mine"),
        "other.xlsx",
        "it exists already: choose another name",
    ),
    (lambda path: path.with_name("~$estimate.xlsx").touch(), None, "it is open in Excel: close it there"),
    (lambda path: path.with_name(".~lock.new.xlsx#").touch(), "new.xlsx", "it is open in LibreOffice: close it there"),
    (lambda path: path.chmod(0o444), None, "it is read-only"),
    (lambda path: None, "copy.xlsm", r"give a file name that ends in \.xlsx"),
    (lambda path: None, "nowhere/copy.xlsx", "there is no folder"),
    (lambda path: (path.write_bytes(template() + b""), os.utime(path, ns=(1, 1))), None, "changed by another program"),
]


@pytest.mark.parametrize(("arrange", "name", "message"), REFUSED)
def test_a_save_that_is_refused_harms_nothing(path, arrange, name, message):
    job = Job.open(path)
    job.set({"room_length": 9})
    arrange(path)
    before = {entry.name: entry.read_bytes() for entry in path.parent.iterdir()}
    with pytest.raises(WorkbookError, match=message):
        job.save(path.with_name(name) if name and "/" not in name else name and path.parent / name)
    assert {entry.name: entry.read_bytes() for entry in path.parent.iterdir()} == before


def test_another_file_is_replaced_when_asked(path):
    other = path.with_name("other.xlsx")
    other.write_bytes(b"mine")
    Job.open(path).save(other, replace=True)
    assert Package.open(other).value("Results", 1, 2) == 48.0


def test_a_workbook_without_a_file_needs_a_name():
    with pytest.raises(WorkbookError, match="no file yet: give a path"):
        Job(Package(template())).save()


def test_a_circle_names_the_file_and_changes_nothing(path):
    path.write_bytes(books.book({"S": {"A1": "=A2", "A2": "=A1"}}))
    before = path.read_bytes()
    with pytest.raises(
        WorkbookError, match=r"estimate\.xlsx: the formulas in S!A1, S!A2 refer to each other in a circle"
    ):
        Job.open(path).save()
    assert path.read_bytes() == before

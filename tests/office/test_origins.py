"""A file says what calculated it and which template it is; what another version did is told once, with what changed."""

import openpyxl
import pytest

from stillbook import __version__
from stillbook.office import origins
from stillbook.office.compare import compare
from stillbook.templates.shipped import TEMPLATES, template
from stillbook.workbook.file.origin import CALCULATED_BY, TEMPLATE, TEMPLATE_VERSION, Origin, origin, with_property
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job

CHANGES = """# Changes

## Unreleased
- A coming change.

## 0.3.0
- A change of the third.

## 0.2.0
- A change of the second.

## 0.1.0
- A change of the first.
"""


@pytest.fixture
def older(tmp_path):
    """A job that other formulas calculated last, made from an older version of its template."""
    job = Job.open(template("booth-estimate").path("US"))
    job.save(tmp_path / "new.xlsx")
    package = Package.open(tmp_path / "new.xlsx")
    package.set_property(CALCULATED_BY, "0.0.9")
    package.set_property(TEMPLATE_VERSION, "0")
    (tmp_path / "job.xlsx").write_bytes(package.to_bytes())
    return tmp_path / "job.xlsx"


@pytest.mark.parametrize("entry", TEMPLATES, ids=lambda entry: entry.name)
def test_every_shipped_workbook_says_what_it_is(entry):
    for system in entry.systems:
        assert Job.open(entry.path(system)).origin == Origin(__version__, entry.name, str(entry.version))


def test_any_program_can_read_it(tmp_path):
    Job.open(template("door-schedule").path("SI")).save(tmp_path / "job.xlsx")
    properties = {one.name: one.value for one in openpyxl.load_workbook(tmp_path / "job.xlsx").custom_doc_props.props}
    assert properties[CALCULATED_BY] == __version__
    assert properties[TEMPLATE] == "door-schedule"


def test_saving_changes_one_property_and_no_other_part(older):
    before = Package.open(older)
    job = Job.open(older)
    job.save()
    after = Package.open(older)
    assert origin(after.properties()) == Origin(__version__, "booth-estimate", "0")
    assert {**after.properties(), CALCULATED_BY: "0.0.9"} == before.properties()


def test_a_file_without_such_a_place_is_left_alone(tmp_path):
    book = openpyxl.Workbook()
    book.active["A1"] = "=1+1"
    book.save(tmp_path / "own.xlsx")
    job = Job.open(tmp_path / "own.xlsx")
    job.save()
    assert Job.open(tmp_path / "own.xlsx").origin == Origin()
    assert origins.news(tmp_path / "own.xlsx", Origin()) == []
    assert origins.news(tmp_path / "own.xlsx", Origin(), "Our own estimate") == []


@pytest.mark.parametrize(
    ("before", "value"),
    [
        (b'<Properties xmlns="x"><property pid="2" name="k"><vt:lpwstr>old</vt:lpwstr></property></Properties>', "0.2"),
        (
            b'<p:Properties xmlns:p="x"><p:property name="k" pid="7"><v:lpwstr>old</v:lpwstr></p:property></p:Properties>',
            "a&b",
        ),
        (b'<Properties xmlns="x"></Properties>', "0.2"),
    ],
)
def test_a_property_is_set_in_any_spelling(before, value):
    after = with_property(before, "k", value)
    assert after.count(b'name="k"') == 1
    assert value.replace("&", "&amp;").encode() in after
    assert b"old" not in after


def test_what_changed_is_told_with_it(monkeypatch):
    monkeypatch.setattr(origins, "_changes", lambda: CHANGES)
    monkeypatch.setattr(origins, "__version__", "0.3.0")
    assert origins.changes_since("0.1.0") == [
        "## Unreleased",
        "- A coming change.",
        "## 0.3.0",
        "- A change of the third.",
        "## 0.2.0",
        "- A change of the second.",
    ]
    assert origins.changes_since("0.3.0") == ["## Unreleased", "- A coming change."]


def test_the_list_of_changes_is_at_hand():
    assert "Unreleased" in origins._changes()


def test_a_comparison_shows_it(older):
    found = compare(older, template("booth-estimate").path("US")).of("file")
    assert {(one.name, one.before, one.after) for one in found} == {
        ("formulas", "0.0.9", __version__),
        ("version", "0", str(template("booth-estimate").version)),
    }

"""``templates``: those that come with Stillbook, and an office's own."""

import io
import sys
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.workbook.defined_name import DefinedName

from cli.command_line import cell
from stillbook.cli import templates
from stillbook.templates.shipped import TEMPLATES


def test_templates_are_listed_with_their_unit_systems(run):
    code, out, _ = run("templates")
    assert code == 0
    listed = {line.split()[0]: line.split()[1:3] for line in out.splitlines() if "US SI" in line}
    assert listed == {entry.name: ["US", "SI"] for entry in TEMPLATES}


def test_a_template_of_ones_own_is_added_listed_and_used(small, run, here):
    book = load_workbook(small)
    book.defined_names.add(DefinedName("colour", attr_text="Door!$D$9"))
    book.save("Our Door.xlsx")
    code, out, err = run("templates", "add", "Our Door.xlsx")
    assert (code, err) == (0, "")
    assert ["surface_mass", "4.4", "lb/ft²", "0.5", "to"] in [line.split()[:5] for line in out.splitlines()]
    assert [line.split()[0] for line in out.splitlines() if line.startswith(("each", "every"))] == ["each", "every"]
    assert "say what" not in out
    assert "that says what to write: colour" in " ".join(out.split())
    assert "A client may see: nothing" in out
    assert f"The template is {here / 'home' / 'templates' / 'our-door.xlsx'}" in " ".join(out.split())
    assert "our-door  6 inputs" in run("templates")[1]
    assert run("new", "Our_Door", "mine.xlsx", "--set", "doors=2")[0] == 0
    assert cell("mine.xlsx", "B2") == pytest.approx(2 * 88)
    assert "surface_mass" in run("inputs", "our-door")[1]


def test_a_person_is_asked_what_a_client_may_see(small, run, here, monkeypatch):
    monkeypatch.setattr(templates, "someone_is_there", lambda: True)
    monkeypatch.setattr(sys, "stdin", io.StringIO("Gone\nDoor\n"))
    code, out, _ = run("templates", "add", small)
    assert code == 0
    assert 'there is no sheet "Gone"' in " ".join(out.split())
    assert "A client may see: Door" in out
    assert run("share", here / "home" / "templates" / "small.xlsx", "copy.xlsx", "--for", "client")[0] == 0


def test_what_a_client_may_see_is_an_option_too(small, run, refused):
    assert "A client may see: Door" in run("templates", "add", small, "--client", "door")[1]
    assert 'there is no sheet "Gate"' in refused("templates", "add", small, "--name", "gate", "--client", "Gate")


def test_a_template_of_ones_own_is_named_and_replaced(small, run, refused):
    run("templates", "add", small, "--name", "door")
    assert "there is a template door of your own already" in refused("templates", "add", small, "--name", "DOOR")
    assert run("templates", "add", small, "--name", "Door", "--replace")[0] == 0
    known = ", ".join(entry.name for entry in TEMPLATES) + ", door, or"
    assert f'there is no template "gate": choose one of {known}' in refused("inputs", "gate")
    assert "--units is for shipped templates: door has its own units" in refused("inputs", "door", "--units", "SI")


def test_a_damaged_template_of_ones_own_is_told_in_the_list(small, run, here, refused):
    run("templates", "add", small)
    (here / "home" / "templates" / "small.xlsx").write_bytes(b"PK\x03\x04 and no more")
    code, out, _ = run("templates")
    assert code == 0
    assert "small nothing" in " ".join(out.split())
    assert "damaged" in out
    assert "damaged" in refused("new", "small", "mine.xlsx")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["gone.xlsx"], "gone.xlsx: there is no such file"),
        (["bare.xlsx"], "bare.xlsx: it has no named inputs: give a name to each cell"),
        (["cut.xlsx"], "cut.xlsx: "),
        (
            ["small.xlsx", "--name", "Booth Estimate"],
            "booth-estimate is the name of a template that comes with Stillbook",
        ),
        (["small.xlsx", "--name", "../../door"], '"../../door" cannot name a template'),
        (["small.xlsx", "--name", "x" * 61], "at most 60 letters"),
        (["round.xlsx"], "circle"),
    ],
)
def test_what_cannot_be_a_template(arguments, said, small, refused, here):
    Workbook().save("bare.xlsx")
    Path("cut.xlsx").write_bytes(Path(small).read_bytes()[:900])
    book = load_workbook(small)
    book.active["B1"] = "=B2+1"
    book.save("round.xlsx")
    assert said in refused("templates", "add", *arguments)
    assert not (here / "home").exists()

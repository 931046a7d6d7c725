"""Templates of the office's own: where they are kept, what they may be called, and what is learned of them."""

from pathlib import Path

import pytest
from openpyxl.utils import absolute_coordinate

from stillbook.share.copies import share
from stillbook.templates import custom
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from workbook import books, jobs

HOMES = [
    # variables set, folder
    ({"STILLBOOK_HOME": "/h", "LOCALAPPDATA": "/l", "XDG_DATA_HOME": "/x"}, "/h/templates"),
    ({"LOCALAPPDATA": "/l", "XDG_DATA_HOME": "/x"}, "/l/stillbook/templates"),
    ({"XDG_DATA_HOME": "/x"}, "/x/stillbook/templates"),  # XDG Base Directory Specification
    ({"HOME": "/u", "USERPROFILE": "/u"}, "/u/.local/share/stillbook/templates"),  # XDG Base Directory Specification
]


@pytest.mark.parametrize(("given", "folder"), HOMES)
def test_the_folder_is_the_users_own(given, folder, monkeypatch):
    for name in ("STILLBOOK_HOME", "LOCALAPPDATA", "XDG_DATA_HOME"):
        monkeypatch.delenv(name, raising=False)
    for name, value in given.items():
        monkeypatch.setenv(name, value)
    assert custom.folder() == Path(folder)


@pytest.fixture
def room(tmp_path, monkeypatch):
    """A workbook that an office would make a template."""
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path / "home"))
    path = tmp_path / "Voice room.xlsx"
    path.write_bytes(books.saved(jobs.estimate()))
    return path


def test_without_a_folder_there_are_none(room):
    assert custom.listed() == ()
    assert custom.find("voice-room") is None


def test_the_copy_is_the_workbook_itself(room):
    learned = custom.add(room)
    assert learned.template.path.read_bytes() == room.read_bytes()
    assert custom.listed() == (learned.template,)


def test_the_interface_is_that_of_the_workbook(room):
    learned = custom.add(room)
    assert list(learned.inputs) == list(Job.open(room).inputs) == [spec.name for spec in jobs.INPUTS]
    assert [result.name for result in learned.report.results] == ["price"]
    assert learned.unnoted == ()


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ("", "voice-room"),
        ("Voice_Room", "voice-room"),
        ("  two   rooms ", "two-rooms"),
        ("Übungsraum 2", "übungsraum-2"),
        ("x" * custom.LONGEST_NAME, "x" * custom.LONGEST_NAME),
    ],
)
def test_names_are_written_in_one_way(given, name, room):
    assert custom.add(room, given).template.name == name
    assert custom.find(name.upper()) == custom.find(name.replace("-", " ")) == custom.listed()[0]


@pytest.mark.parametrize(
    "name", ["a/b", "..", ".hidden", "~x", "a\\b", "a:b", "-x", "x" * (custom.LONGEST_NAME + 1), "a\0b"]
)
def test_names_that_no_file_should_have(name, room, tmp_path):
    with pytest.raises(WorkbookError, match="cannot name a template"):
        custom.add(room, name)
    assert not (tmp_path / "home").exists()


def test_one_is_replaced_only_when_asked(room):
    first = custom.add(room).template
    changed = jobs.estimate(spare=5)
    room.write_bytes(books.saved(changed))
    with pytest.raises(WorkbookError, match="there is a template voice-room of your own already"):
        custom.add(room)
    assert first.path.read_bytes() != room.read_bytes()
    assert custom.add(room, replace=True).template == first
    assert first.path.read_bytes() == room.read_bytes()


def test_a_file_put_there_by_hand_is_found_and_replaced_in_its_place(room):
    custom.folder().mkdir(parents=True)
    by_hand = custom.folder() / "Voice Room.xlsx"
    by_hand.write_bytes(books.saved(jobs.estimate()))
    (custom.folder() / "~$gone.xlsx").write_bytes(b"owner")
    assert custom.find("voice-room").path == by_hand
    assert custom.add(room, replace=True).template.path == by_hand
    assert len(custom.listed()) == 1


PLAIN = {
    "A1": "Room length:", "B1": 7.5, "C1": "ft",
    "A2": "Client", "B2": "A client",
    "A3": "People", "B3": 2.0, "C3": "people",
    "A4": "Floor | inside", "B4": "=B1*2", "C4": "ft²",
    "A5": "Blank",
    "A6": "Open", "B6": True,
    "D9": "Said of it", "D10": 4.0,
    "A11": "Price", "B11": "=B4*100",
}  # fmt: skip
NAMES = {
    "room_length": ("B1", None),
    "client": ("B2", None),
    "people": ("B3", "The most at one time. | unit: people | from: 1 | to: 9 | whole"),
    "floor": ("B4", None),
    "left_open": ("B5", None),
    "open": ("B6", None),
    "said": ("D10", "A remark that is no note"),
    "price": ("B11", "Price | result | unit: USD"),
    "whole": ("A1:B4", None),
}


@pytest.fixture
def plain(tmp_path, monkeypatch):
    """A workbook whose names have, but for two, no note."""
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path / "home"))
    made = books.built({"Quote": PLAIN, "Costs": {"A1": "secret"}})
    for name, (cells, note) in NAMES.items():
        made.defined_names.add(books.DefinedName(name, attr_text=f"Quote!{absolute_coordinate(cells)}", comment=note))
    path = tmp_path / "plain.xlsx"
    path.write_bytes(books.saved(made))
    return path


def test_a_typed_value_is_an_input_and_a_formula_a_result(plain):
    learned = custom.add(plain)
    job = Job.open(learned.template.path)
    said = {name: (e.spec.help, e.spec.unit, e.spec.least, e.spec.most, e.value) for name, e in job.inputs.items()}
    assert said == {
        "room_length": ("Room length", "ft", None, None, 7.5),
        "client": ("Client", "text", None, None, "A client"),
        "people": ("The most at one time.", "people", 1, 9, 2.0),
        "said": ("A remark that is no note", "", None, None, 4.0),
    }
    job.set({"room_length": "3 m", "client": "Another"})
    results = {result.name: (result.label, result.unit, result.value) for result in job.calculate().results}
    assert results["floor"] == ("Floor / inside", "ft²", pytest.approx(2 * 3 / 0.3048))
    assert results["price"][:2] == ("Price", "USD")
    assert learned.unnoted == ("left_open", "open")
    assert Job.open(plain).inputs.keys() == {"people"}, "the office's own file stays as it is"


def test_sheets_are_marked_for_a_client(plain):
    learned = custom.add(plain, shown=["quote"])
    assert learned.shown == ("Quote",)
    shared = plain.with_name("copy.xlsx")
    share(learned.template.path, shared, "client")
    assert Job.open(shared).package.sheets == ["Quote"]
    again = custom.add(plain, "other").template
    assert custom.sheets(again) == ("Quote", "Costs")
    assert custom.show_to_client(again, ["Quote", " costs "]) == ("Quote", "Costs")


@pytest.mark.parametrize("sheet", ["Gone", ""])
def test_a_sheet_that_is_not_there_is_told(plain, sheet):
    with pytest.raises(WorkbookError, match=r"there is no sheet .*: it has Quote, Costs"):
        custom.add(plain, shown=[sheet])
    assert custom.listed() == ()

"""Templates of the office's own: where they are kept, what they may be called, and what is learned of them."""

from pathlib import Path

import pytest

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

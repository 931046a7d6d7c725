"""The extension installed for everyone, by root: in a folder of the test's own, so that no other LibreOffice has it."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from hosts.libreoffice.calc import connect_to, own_office, program, running, this_stillbook
from stillbook.hosts.host import HostError
from stillbook.hosts.libreoffice import places
from stillbook.hosts.libreoffice.connection import disconnect, state

pytestmark = [
    pytest.mark.host,
    pytest.mark.skipif(not places.is_root(), reason="only root may install for everyone"),
]

DOOR = "=STILL_DOORMASS(60;1;36;80)"

NOBODY = 65534
"""A user who owns nothing."""


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that every user may write to."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o777)
        yield Path(name)


def test_it_calculates_with_other_settings_too_and_is_taken_out_again(tmp_path: Path) -> None:
    mine = own_office(tmp_path)
    another = own_office(tmp_path / "another").beside(tmp_path)
    lines = connect_to(mine, tmp_path, this_stillbook(tmp_path), everyone=True)
    assert lines[0].endswith(f" for all users of this computer, in {tmp_path / 'shared'}.")
    assert places.users(mine).installed() is None, "nothing in the settings of the one who installed it"
    assert ", connected for all users, " in state(another).detail
    with running(another, tmp_path) as calc:
        calc.new()
        assert calc.value(DOOR) == 80.0
        assert "Stillbook" in calc.ask("modules")
    assert disconnect(mine)[0] == "Removed the extension that was installed for all users of this computer."
    assert state(another).detail.endswith(", not connected")
    with running(another, tmp_path) as calc:
        calc.new()
        assert calc.value(DOOR) == "#NAME?"
        assert "Stillbook" not in calc.ask("modules")


def test_another_user_has_it_and_may_not_take_it_out(open_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What calculates stands in here: the tested Stillbook may be its owner's alone."""
    mine = own_office(open_folder)
    answers = "import sys; [print(12.0, flush=True) for _ in sys.stdin]"
    connect_to(mine, open_folder, program(open_folder, f"exec /usr/bin/python3 -c '{answers}'"), everyone=True)
    theirs = own_office(open_folder / "theirs").beside(open_folder)
    with running(theirs, open_folder, NOBODY) as calc:
        calc.new()
        assert calc.value(DOOR) == 12.0
        assert calc.value("=STILL.DOORMASS(60;1;36;81)") == 12.0
    assert (open_folder / "theirs" / "profile").stat().st_uid == NOBODY
    with monkeypatch.context() as patch:
        patch.setattr(places, "is_root", lambda: False)
        patch.setattr(places, "is_administrator", lambda: False)
        with pytest.raises(HostError, match="disconnect as the administrator"):
            disconnect(theirs)
    disconnect(mine)

"""Connecting, disconnecting and the state of desktop Excel, with Excel stood in for."""

import json
import sys
from pathlib import Path, PureWindowsPath
from unittest import mock

import pytest

from hosts.excel.fake import FakeExcel
from stillbook.hosts.excel import Excel, addin, connection
from stillbook.hosts.host import HostError, Standing, State

NOT_CONNECTED = State(Standing.ABSENT, "not connected", 'run "stillbook connect excel"')


@pytest.fixture
def windows(tmp_path, monkeypatch, base):
    """A Windows of our own: settings folder, xlwings' files and an Excel that works."""
    excel = FakeExcel(tmp_path / "XLSTART")
    monkeypatch.setenv("APPDATA", str(tmp_path / "settings"))
    monkeypatch.setattr(connection, "on_windows", lambda: True)
    monkeypatch.setattr(addin, "CODE_PAGE", "cp1252")
    monkeypatch.setattr(connection, "started_excel", excel)
    monkeypatch.setattr(connection, "parts", lambda: addin.XlwingsFiles(base, tmp_path / "32.dll", tmp_path / "64.dll"))
    return excel


def test_connect_state_disconnect(tmp_path, windows):
    file, record = tmp_path / "XLSTART" / "Stillbook.xlam", tmp_path / "settings" / "Stillbook" / "excel.json"
    assert connection.state() == NOT_CONNECTED

    lines = connection.connect()
    assert file.is_file()
    assert json.loads(record.read_text())["interpreter"] == str(PureWindowsPath(sys.executable))
    assert lines[0].startswith(f"Installed {file}: ")
    assert any("Close Excel" in line for line in lines)
    assert str(Excel().guide()) in lines[-1]
    assert "never run on Windows" in lines[-1]
    assert connection.state() == State(Standing.GOOD, f"connected: {file}")

    assert connection.disconnect()[0] == f"Removed {file}."
    assert not file.exists()
    assert not record.parent.exists()
    assert connection.state() == NOT_CONNECTED
    assert connection.disconnect() == ["The Excel add-in is not installed: nothing to remove."]


def test_connect_tells_of_help_that_was_refused(windows):
    windows.refused = ["STILL_WHY", "STILL_SOURCE"]
    assert any("refused the help texts of 2 formulas" in line for line in connection.connect())


@pytest.mark.parametrize(
    ("change", "standing", "told"),
    [
        (
            lambda kept: kept | {"mark": "other", "version": "0.0.1"},
            "outdated",
            "changed since Stillbook 0.0.1 made it",
        ),
        (lambda kept: kept | {"interpreter": r"C:\other\python.exe"}, "outdated", r"another Python, C:\other"),
        (lambda kept: kept | {"file": "gone.xlam"}, "absent", "not connected: gone.xlam is gone"),
        (lambda kept: {"file": "x"}, "absent", "not connected"),
        (lambda kept: [], "absent", "not connected"),
    ],
)
def test_the_state_tells_what_is_wrong(windows, change, standing, told):
    connection.connect()
    place = connection.record_place()
    place.write_text(json.dumps(change(json.loads(place.read_text()))))
    state = connection.state()
    assert state.standing == standing
    assert told in state.detail
    assert state.next.startswith('run "stillbook connect excel"')


def test_an_add_in_that_cannot_start_python_is_a_fault(windows, monkeypatch):
    def gone():
        raise HostError("xlwings is not installed: reinstall Stillbook")

    connection.connect()
    monkeypatch.setattr(connection, "parts", gone)
    state = connection.state()
    assert (state.standing, state.next) == (Standing.FAULT, "xlwings is not installed: reinstall Stillbook")


def test_disconnect_while_excel_is_open(windows):
    connection.connect()
    with (
        mock.patch.object(Path, "unlink", side_effect=PermissionError),
        pytest.raises(HostError, match="is in use: close Excel and disconnect again"),
    ):
        connection.disconnect()
    assert connection.state().standing is Standing.GOOD


def test_other_systems_are_told_what_to_use(monkeypatch, tmp_path):
    monkeypatch.setenv("APPDATA", str(tmp_path))
    monkeypatch.setattr(connection, "on_windows", lambda: False)
    with pytest.raises(HostError, match="use LibreOffice Calc or Excel in the browser"):
        connection.connect()
    state = connection.state()
    assert (state.standing, state.next) == (Standing.ABSENT, "")
    assert state.detail.startswith("not available: ")
    assert connection.disconnect() == ["The Excel add-in is not installed: nothing to remove."]


def test_the_guide_says_that_it_was_not_run_on_windows():
    text = Excel().guide().read_text(encoding="utf-8")
    assert "not run in our tests" in text
    assert "- [ ] " in text
    assert addin.ADDIN_FILE in text

"""Connecting and disconnecting, with a program that stands in for LibreOffice's own."""

from __future__ import annotations

import json
import os
import platform
import stat
import sys
import tempfile
import zipfile
from pathlib import Path

import pytest

from hosts import small
from stillbook.hosts.host import HostError, Standing, State
from stillbook.hosts.libreoffice import connection, office
from stillbook.hosts.libreoffice.connection import connect, disconnect, state
from stillbook.hosts.libreoffice.office import Office
from stillbook.hosts.libreoffice.stillbook_calc.basic_module import MARK

STAND_IN = """#!{python}
import json, pathlib, re, sys, zipfile
here = pathlib.Path(__file__).parent
settings = json.loads((here / "settings.json").read_text())
arguments = sys.argv[1:]
with (here / "log.jsonl").open("a") as log:
    log.write(json.dumps([pathlib.Path(__file__).name, *arguments]) + "\\n")
if "--version" in arguments:
    print("LibreOffice 7.4.7.2 40(Build:2)") if settings["answers"] else sys.exit(3)
    sys.exit(0)
if pathlib.Path(__file__).name == "soffice":
    folder = pathlib.Path(arguments[arguments.index("--outdir") + 1])
    (folder / (pathlib.Path(arguments[-1]).stem + ".csv")).write_text(settings["trial"] + "\\n")
    sys.exit(0)
where = next((a for a in arguments if a.startswith("-env:UserInstallation")), "")
place = here / ("apart.json" if where else "shared.json" if "--shared" in arguments else "user.json")
if arguments[0] == "add":
    if settings["refuses"]:
        sys.exit("ERROR: Exception occurred: the disk is full at ./desktop/source/x.cxx:1\\n\\nERROR: unopkg failed.")
    described = zipfile.ZipFile(arguments[-1]).read("description.xml").decode()
    place.write_text(json.dumps(re.search(r'<version value="([^"]+)"', described)[1]))
elif not place.exists():
    sys.exit("ERROR: Exception occurred: There is no such extension deployed: stillbook.calc\\n\\nERROR: unopkg failed.")
elif arguments[0] == "remove":
    place.unlink()
else:
    print("Identifier: stillbook.calc\\n  Version:", json.loads(place.read_text()), "\\n  is registered: yes")
"""


class StandIn:
    """A folder with programs that behave as LibreOffice's do, as far as connecting goes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for name in ("soffice", "unopkg"):
            program = folder / name
            program.write_text(STAND_IN.format(python=sys.executable))
            program.chmod(program.stat().st_mode | stat.S_IXUSR)
        self.set()

    def set(self, trial: str = "12,12,no error", refuses: bool = False, answers: bool = True) -> None:
        settings = {"trial": trial, "refuses": refuses, "answers": answers}
        (self.folder / "settings.json").write_text(json.dumps(settings))

    @property
    def office(self) -> Office:
        return Office(self.folder)

    @property
    def installed(self) -> set[str]:
        return {path.stem for path in self.folder.glob("*.json")} - {"settings", "apart"}


pytestmark = pytest.mark.skipif(os.name != "posix", reason="the stand-in is a script")


@pytest.fixture
def stand_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> StandIn:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return StandIn(tmp_path)


def test_connected_and_disconnected(stand_in: StandIn) -> None:
    mine = stand_in.office
    there = f"LibreOffice 7.4.7.2 in {mine.program}"
    assert state(mine) == State(Standing.ABSENT, f"{there}, not connected", 'run "stillbook connect libreoffice"')
    lines = connect(mine)
    assert lines[0].startswith("Installed the extension with ")
    assert sys.executable in lines[1]
    assert stand_in.installed == {"user"}
    assert state(mine).standing is Standing.GOOD
    assert state(mine).detail.startswith(f"{there}, connected: ")
    assert disconnect(mine)[0] == "Removed the extension that was installed for you alone."
    assert stand_in.installed == set()
    assert disconnect(mine) == ["LibreOffice is not connected: nothing to remove."]


def test_connecting_again_takes_the_place_of_the_old(stand_in: StandIn, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as before:
        before.setattr(connection, "formulas", lambda: small.CATALOGUE)
        connect(stand_in.office)
        assert "connected: 4 formulas" in state(stand_in.office).detail
    outdated = state(stand_in.office)
    assert outdated.standing is Standing.OUTDATED
    assert "the formulas have changed" in outdated.detail
    assert outdated.next == 'run "stillbook connect libreoffice" again'
    connect(stand_in.office)
    assert state(stand_in.office).standing is Standing.GOOD


def test_another_python_is_told_of(stand_in: StandIn, monkeypatch: pytest.MonkeyPatch) -> None:
    connect(stand_in.office)
    monkeypatch.setattr(sys, "executable", "/another/python")
    assert "another Python" in state(stand_in.office).detail


def test_an_administrator_installs_for_everyone_when_asked(stand_in: StandIn, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(HostError, match="only an administrator"):
        connect(stand_in.office, everyone=True)
    assert stand_in.installed == set()
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(connection, "_closed", lambda _: None)
    assert " for all users of this computer, " in connect(stand_in.office, everyone=True)[0]
    assert stand_in.installed == {"shared"}
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert ", connected for all users: " in state(stand_in.office).detail
    with pytest.raises(HostError, match="as the administrator"):
        disconnect(stand_in.office)
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    disconnect(stand_in.office)
    assert stand_in.installed == set()


def test_it_says_for_whom_and_where_it_installs(stand_in: StandIn, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", "/settings")
    assert connect(stand_in.office)[0].endswith(" for you alone, in /settings/libreoffice/4/user/uno_packages/cache.")
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(connection, "_closed", lambda _: None)
    shared = stand_in.folder.parent / "share" / "uno_packages" / "cache"
    assert connect(stand_in.office, everyone=True)[0].endswith(f" for all users of this computer, in {shared}.")


def test_it_is_not_installed_for_everyone_where_others_may_not_run_it(
    stand_in: StandIn, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    private = tmp_path / "private" / "bin" / "python"
    private.parent.mkdir(parents=True)
    private.write_text("")
    monkeypatch.setattr(sys, "executable", str(private))
    with pytest.raises(HostError, match=r"other users may not use .*: install Stillbook where everyone may run it"):
        connect(stand_in.office, everyone=True)
    assert stand_in.installed == set()


@pytest.mark.parametrize(
    ("folder", "file", "closed"),
    [(0o755, 0o644, None), (0o711, 0o755, None), (0o700, 0o644, "folder"), (0o755, 0o600, "folder/file")],
)
def test_what_others_may_not_use_is_named(folder: int, file: int, closed: str | None) -> None:
    # Not in the test's own folder, which is closed to others itself.
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        top.chmod(0o755)
        (top / "folder").mkdir()
        there = top / "folder" / "file"
        there.write_text("")
        there.chmod(file)
        there.parent.chmod(folder)
        assert connection._closed(there) == (closed and top / closed)


def test_little_is_asked_of_libreoffice(stand_in: StandIn) -> None:
    """Each question is a start of a program: the version is asked once, and everyone's place only where one's own has none."""

    def asked() -> list[str]:
        lines = (stand_in.folder / "log.jsonl").read_text().splitlines()
        (stand_in.folder / "log.jsonl").unlink()
        found = [[Path(each).name for each in json.loads(line)] for line in lines]
        return [
            " ".join(each for each in words if each in ("--version", "list", "--shared", "remove")) for words in found
        ]

    connect(stand_in.office)
    assert asked().count("--version") == 1
    state(stand_in.office)
    assert asked() == ["--version", "list"]
    disconnect(stand_in.office)
    assert asked() == ["list", "remove"]
    state(stand_in.office)
    assert asked() == ["--version", "list", "list --shared"]


def test_a_module_that_libreoffice_has_left_is_removed(stand_in: StandIn, monkeypatch: pytest.MonkeyPatch) -> None:
    settings = stand_in.folder / "settings"
    monkeypatch.setenv("XDG_CONFIG_HOME", str(settings))
    library = settings / "libreoffice" / "4" / "user" / "basic" / "Standard"
    library.mkdir(parents=True)
    head = '<?xml version="1.0"?>\n<script:module xmlns:script="x" script:name="{}" script:language="StarBasic">{}\n</script:module>'
    theirs = {"Module1": "REM mine", "StillbookOwn": f"REM mine\n{MARK}", "Other": MARK}
    modules = {**theirs, "Stillbook": MARK, "Stillbook2": MARK}
    for name, text in modules.items():
        (library / f"{name}.xba").write_text(head.format(name, text))
    listed = "".join(f'\n <library:element library:name="{name}"/>' for name in modules)
    (library / "script.xlb").write_text(f"<library:library>{listed}\n</library:library>")
    assert disconnect(stand_in.office) == [
        f"Removed its module {name} from your library of Basic." for name in ("Stillbook", "Stillbook2")
    ]
    assert {path.name for path in library.iterdir()} == {"script.xlb", *(f"{name}.xba" for name in theirs)}
    kept = "".join(f'\n <library:element library:name="{name}"/>' for name in theirs)
    assert (library / "script.xlb").read_text() == f"<library:library>{kept}\n</library:library>"
    assert disconnect(stand_in.office) == ["LibreOffice is not connected: nothing to remove."]


@pytest.mark.parametrize(
    ("system", "profile", "shared"),
    [
        ("Linux", ".config/libreoffice/4", "share/uno_packages/cache"),
        ("Windows", "AppData/Roaming/LibreOffice/4", "share/uno_packages/cache"),
        ("Darwin", "Library/Application Support/LibreOffice/4", "Resources/share/uno_packages/cache"),
    ],
)
def test_where_libreoffice_keeps_things(
    system: str, profile: str, shared: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(platform, "system", lambda: system)
    monkeypatch.setenv("HOME", "/me")
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    usual = Office(Path("/office/program"))
    assert usual.profile() == Path("/me", profile)
    assert usual.shared() == Path("/office", shared)
    apart = usual.apart(tmp_path)
    assert (apart.profile(), apart.shared()) == (tmp_path / "profile", tmp_path / "shared")


@pytest.mark.parametrize(
    ("environment", "base", "told"),
    [("/venv", "/opt/python", True), ("/venv", "/usr", False), (None, "/opt/python", False)],
)
def test_a_terminal_that_would_lead_libreoffice_astray_is_told_of(
    stand_in: StandIn, monkeypatch: pytest.MonkeyPatch, environment: str | None, base: str, told: bool
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(sys, "base_prefix", base)
    monkeypatch.delenv("VIRTUAL_ENV", raising=False)
    if environment:
        monkeypatch.setenv("VIRTUAL_ENV", environment)
    assert any("another terminal" in line for line in connect(stand_in.office)) == told


@pytest.mark.parametrize(
    ("trial", "message"),
    [
        ("#NAME?,#NAME?,#NAME?", "python3-uno"),
        ("#VALUE!,,#VALUE!", "python3-uno"),
        ("0,0,0", "python3-uno"),
        ("", "python3-uno"),
        (
            '#NAME?,#NAME?,"Stillbook cannot be started (/there, or not): install"',
            r"cannot be started \(/there, or not\)",
        ),
        ("12,#NAME?,no error", "functions of Basic"),
    ],
)
def test_an_extension_that_does_not_calculate_is_not_installed(stand_in: StandIn, trial: str, message: str) -> None:
    stand_in.set(trial=trial)
    with pytest.raises(HostError, match=message):
        connect(stand_in.office)
    assert stand_in.installed == set()


def test_what_libreoffice_says_is_told(stand_in: StandIn) -> None:
    stand_in.set(refuses=True)
    with pytest.raises(HostError, match=r"refused the extension \(the disk is full\): close LibreOffice"):
        connect(stand_in.office)


def test_without_libreoffice_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(office, "find", lambda: None)
    assert state() == State(Standing.ABSENT, f"{office.MISSING}; printing needs it too", office.INSTALL)
    for ask in (connect, disconnect):
        with pytest.raises(HostError, match="install LibreOffice Calc"):
            ask()


def test_a_libreoffice_that_does_not_answer_is_a_fault(stand_in: StandIn) -> None:
    stand_in.set(answers=False)
    found = state(stand_in.office)
    assert (found.standing, found.detail) == (Standing.FAULT, f"LibreOffice in {stand_in.folder} does not answer")
    assert "install LibreOffice again" in found.next


def test_libreoffice_is_found_where_its_program_leads(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    programs = tmp_path / "office" / "program"
    programs.mkdir(parents=True)
    StandIn(programs)
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin" / "soffice").symlink_to(programs / "soffice")
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    found = office.find()
    assert found == Office(programs)


def test_libreoffice_is_started_without_the_settings_of_an_active_python(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONHOME", "/nowhere")
    monkeypatch.setenv("VIRTUAL_ENV", "/somewhere")
    given = office.environment()
    assert not {"PYTHONHOME", "VIRTUAL_ENV"} & set(given)


def test_a_conversion_that_makes_no_file_is_an_error(stand_in: StandIn, tmp_path: Path) -> None:
    with pytest.raises(HostError, match=r"could not convert book\.xlsx"):
        stand_in.office.convert(tmp_path / "book.xlsx", "pdf:calc_pdf_Export", tmp_path)


def test_the_extension_is_a_file_that_libreoffice_can_open_by_hand(stand_in: StandIn, tmp_path: Path) -> None:
    connect(stand_in.office)
    added = [json.loads(line) for line in (tmp_path / "log.jsonl").read_text().splitlines() if '"add"' in line]
    assert [Path(arguments[-1]).name for arguments in added] == ["stillbook.oxt"] * 2
    assert not zipfile.is_zipfile(added[-1][-1]), "it is only kept while it is installed"

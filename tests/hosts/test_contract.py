"""Every registered host keeps the contract of ``hosts/host.py``, on a computer where nothing is connected."""

import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from stillbook.hosts.excel import connection as excel
from stillbook.hosts.host import Host, HostError, Standing
from stillbook.hosts.libreoffice import office
from stillbook.hosts.registry import HOSTS
from stillbook.workbook.calculation.spelling import Spelling, calls
from stillbook.workbook.file.package import Package
from workbook import books

HEAVY = {"fluids", "formualizer", "lxml", "numpy", "openpyxl", "pint", "pydantic", "scipy", "xlwings"}
"""Libraries that take long to load, and that no help text needs."""

LONGEST_HELP = 120


@pytest.fixture(params=HOSTS)
def host(request) -> Host:
    return HOSTS[request.param]


@pytest.fixture
def bare(home, tmp_path, monkeypatch):
    """A computer on which nothing is connected and no service runs; gives the folder that commands run in."""
    monkeypatch.setenv("APPDATA", str(tmp_path / "settings"))
    monkeypatch.setattr(office, "find", lambda: None)
    monkeypatch.setattr(excel, "on_windows", lambda: False)
    (tmp_path / "desk").mkdir()
    monkeypatch.chdir(tmp_path / "desk")
    return tmp_path / "desk"


def test_every_folder_of_a_host_is_registered():
    folders = {path.parent.name for path in Path(str(files("stillbook.hosts"))).glob("*/__init__.py")}
    assert set(HOSTS) == folders


def test_no_two_hosts_are_called_alike():
    for names in ([host.name for host in HOSTS.values()], [host.title for host in HOSTS.values()]):
        assert len(set(names)) == len(HOSTS)


def test_a_face_says_what_the_host_is(host):
    assert type(host).__module__ == f"stillbook.hosts.{host.name}"
    assert isinstance(host.spelling, Spelling)
    for line in (host.title, host.help, host.reads):
        assert 0 < len(line) <= LONGEST_HELP
        assert line == line.strip()
        assert "\n" not in line
    assert host.reads.endswith(".")


def test_faces_are_cheap_to_import():
    listing = "import sys, stillbook.hosts.registry; print(*{name.partition('.')[0] for name in sys.modules})"
    loaded = subprocess.run([sys.executable, "-c", listing], capture_output=True, text=True, check=True).stdout
    assert HEAVY.isdisjoint(loaded.split())


def test_the_state_of_what_is_not_connected(host, bare):
    state = host.state()
    assert state.standing is Standing.ABSENT
    assert state.detail
    assert "\n" not in state.detail + state.next
    assert state.next or state.detail.startswith("not available: "), "what to do next, or that it cannot be here"


def test_what_cannot_be_connected_says_what_to_do(host, bare):
    with pytest.raises(HostError, match=r"start it|install|use ") as refused:
        host.connect()
    assert "\n" not in str(refused.value)
    assert not list(bare.iterdir())


def test_what_is_not_connected_can_be_disconnected(host, bare):
    try:
        lines = host.disconnect()
    except HostError as refused:
        lines = [str(refused)]
    assert lines
    assert all(lines)


@pytest.mark.parametrize("spelling", Spelling)
def test_a_workbook_of_any_spelling_is_healed(host, spelling, tmp_path):
    def spelled(by):
        return f"{by.value.format(name='DOORMASS')}(60,1,36,80)+SUM(B1)"

    theirs, ours = tmp_path / "theirs.xlsx", tmp_path / "ours.xlsx"
    theirs.write_bytes(books.book({"Doors": {"A1": f"={spelled(spelling)}", "B1": 36, "A2": "STILL_X("}}))
    before = theirs.read_bytes()
    (line,) = host.heal(theirs, ours)
    package = Package.open(ours)
    formula = package.sheet("Doors").formulas[(1, 1)].text
    assert formula.removeprefix("=") == spelled(host.spelling)
    assert calls(formula) == ["DOORMASS"]
    assert package.value("Doors", 2, 1) == "STILL_X("
    assert theirs.read_bytes() == before
    if spelling is host.spelling:
        assert line.endswith(f"ours.xlsx: 0 formulas respelled for {host.name}, as nothing needed it")
    else:
        assert line.endswith(f"ours.xlsx: 1 formula respelled for {host.name}")


def test_the_guide_tells_how_to_connect_and_disconnect(host):
    text = host.guide().read_text("utf-8")
    assert text.startswith("# Stillbook in ")
    assert f"stillbook connect {host.name}" in text
    assert f"stillbook disconnect {host.name}" in text
    assert "estimates, not certified designs" in text


def test_the_readme_names_command_and_guide(host):
    readme = Path(__file__).parents[2].joinpath("README.md").read_text("utf-8")
    assert f"stillbook connect {host.name}" in readme
    assert f"functions/stillbook/{host.guide().relative_to(str(files('stillbook'))).as_posix()}" in readme

import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from stillbook.workbook import WorkbookError
from stillbook.workbook.file.saving import holder, save


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "job.xlsx"
    path.write_bytes(b"old")
    return path


def left_over(path: Path) -> list[str]:
    return sorted(entry.name for entry in path.parent.iterdir() if entry != path)


def test_a_file_is_replaced_and_a_new_one_made(path):
    save(path, b"new")
    save(path.with_name("other.xlsx"), b"first")
    assert (path.read_bytes(), path.with_name("other.xlsx").read_bytes()) == (b"new", b"first")
    assert left_over(path) == ["other.xlsx"]


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_permissions_are_kept(path, mode):
    path.chmod(mode)
    save(path, b"new")
    assert stat.S_IMODE(path.stat().st_mode) == mode


def test_a_new_file_gets_the_permissions_of_any_new_file(path):
    plain = path.with_name("plain")
    plain.touch()
    new = path.with_name("new.xlsx")
    save(new, b"new")
    assert new.stat().st_mode == plain.stat().st_mode


def test_a_link_is_followed(path):
    link = path.with_name("link.xlsx")
    link.symlink_to(path)
    save(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"


@pytest.mark.parametrize("step", ["fsync", "replace", "chmod"])
@pytest.mark.parametrize("failure", [OSError(28, "No space left on device"), KeyboardInterrupt(), MemoryError()])
def test_a_failure_at_any_step_leaves_the_old_file_whole(path, monkeypatch, step, failure):
    def fail(*_args, **_kwargs):
        raise failure

    if step == "fsync":
        monkeypatch.setattr(os, "fsync", fail)
    else:
        monkeypatch.setattr(Path, step, fail)
    with pytest.raises(WorkbookError if isinstance(failure, OSError) else type(failure)):
        save(path, b"new")
    assert path.read_bytes() == b"old"
    assert left_over(path) == []


@pytest.mark.parametrize("step", ["os.fsync", "Path.replace"])
def test_a_process_killed_at_any_step_leaves_the_old_file_whole(path, step):
    code = (
        "import os, signal; from pathlib import Path; from stillbook.workbook.file.saving import save\n"
        f"{step} = lambda *_: os.kill(os.getpid(), signal.SIGKILL)\n"
        f"save(Path({str(path)!r}), b'new' * 100_000)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == -signal.SIGKILL
    assert path.read_bytes() == b"old"


LEFT = [
    (".job-0123abcd.tmp", 2, False),
    (".job-0123abcd.tmp", 0.5, True),
    (".job-0123abcd.xlsx", 2, True),
    (".job-2-0123abcd.tmp", 2, True),
    ("job-0123abcd.tmp", 2, True),
]


@pytest.mark.parametrize(("name", "hours", "stays"), LEFT)
def test_what_a_killed_process_left_is_taken_away_later(path, name, hours, stays):
    left = path.with_name(name)
    left.write_bytes(b"half")
    moment = time.time() - hours * 3600
    os.utime(left, (moment, moment))
    save(path, b"new")
    assert (path.read_bytes(), left.exists()) == (b"new", stays)


def test_a_full_disk_is_told(path, monkeypatch):
    monkeypatch.setattr(os, "fsync", lambda _: (_ for _ in ()).throw(OSError(28, "No space left on device")))
    with pytest.raises(
        WorkbookError,
        match=r"job\.xlsx: it could not be written \(No space left on device\); the old file is as it was",
    ):
        save(path, b"new")


def test_the_data_is_on_the_disk_before_the_old_file_goes(path, monkeypatch):
    steps = []
    real_sync, real_replace = os.fsync, Path.replace
    monkeypatch.setattr(os, "fsync", lambda handle: (steps.append("sync"), real_sync(handle))[1])
    monkeypatch.setattr(Path, "replace", lambda self, target: (steps.append("replace"), real_replace(self, target))[1])
    save(path, b"new")
    assert steps[:2] == ["sync", "replace"]


# --- open elsewhere ---------------------------------------------------------------------------------------------------


def excel_owner(name: str) -> bytes:
    """Excel's owner file: a length, the name in 54 bytes, the length again and the name in two-byte letters."""
    letters = name.encode("latin-1")
    return (
        bytes([len(letters)])
        + letters.ljust(54)
        + len(name).to_bytes(2, "little")
        + name.encode("utf-16-le").ljust(108, b" ")
    )


HELD = [
    (
        "~$job.xlsx",
        excel_owner("Pat Example"),
        r"it is open in Excel by Pat Example: close it there .*delete ~\$job\.xlsx",
    ),
    ("~$job.xlsx", b"", "it is open in Excel: close it there"),
    (
        ".~lock.job.xlsx#",
        b"Pat Example,pat,desk-3,25.11.2025 08:00,file:///home/pat/.config;",
        r"it is open in LibreOffice by Pat Example on desk-3 since 25\.11\.2025 08:00: close it there",
    ),
    (".~lock.job.xlsx#", b",pat,desk-3,25.11.2025 08:00,file:///x;", "it is open in LibreOffice by pat on desk-3"),
    (".~lock.job.xlsx#", b"", "it is open in LibreOffice: close it there"),
]


@pytest.mark.parametrize(("name", "contents", "message"), HELD)
def test_an_open_file_is_not_written(path, name, contents, message):
    path.with_name(name).write_bytes(contents)
    with pytest.raises(WorkbookError, match=message):
        save(path, b"new")
    assert path.read_bytes() == b"old"


def test_the_lock_beside_the_file_that_a_link_leads_to_counts(path, tmp_path):
    (tmp_path / "here").mkdir()
    link = tmp_path / "here" / "link.xlsx"
    link.symlink_to(path)
    path.with_name("~$job.xlsx").write_bytes(excel_owner("Pat"))
    with pytest.raises(WorkbookError, match="open in Excel by Pat"):
        save(link, b"new")


def test_a_file_that_nobody_holds(path):
    path.with_name("~$other.xlsx").touch()
    assert holder(path) is None


# --- places that cannot be written ------------------------------------------------------------------------------------


def test_a_read_only_file_stays(path):
    path.chmod(0o444)
    with pytest.raises(WorkbookError, match="read-only: allow writing, or save under another name"):
        save(path, b"new")
    assert path.read_bytes() == b"old"


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="an administrator may write anywhere")
def test_a_read_only_folder_is_told(path):
    path.parent.chmod(0o555)
    try:
        with pytest.raises(WorkbookError, match="may not be written"):
            save(path, b"new")
    finally:
        path.parent.chmod(0o755)


def test_a_folder_that_refuses_is_told(path, monkeypatch):
    monkeypatch.setattr(Path, "open", lambda *_: (_ for _ in ()).throw(PermissionError(13, "Permission denied")))
    with pytest.raises(WorkbookError, match="may not be written: close the program that holds it"):
        save(path, b"new")


@pytest.mark.parametrize(
    ("name", "message"),
    [("nowhere/job.xlsx", "there is no folder"), ("folder", "it is a folder"), ("job.xlsx/x.xlsx", "no folder")],
)
def test_a_place_that_is_none(path, name, message):
    path.with_name("folder").mkdir()
    with pytest.raises(WorkbookError, match=message):
        save(path.parent / name, b"new")

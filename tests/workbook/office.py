"""A headless LibreOffice with a profile of its own, for the tests that drive it."""

from __future__ import annotations

import csv
import os
import signal
import subprocess
from pathlib import Path

import pytest

from hosts.required import soffice

_PROFILE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>{mode}</value></prop></item>
</oor:items>
"""
_SECONDS = 180


def convert(source: Path, to: str, folder: Path, *, recalculate: bool) -> Path:
    """A workbook converted by LibreOffice, with or without calculating it anew.

    The test is skipped where LibreOffice is missing, unless STILLBOOK_REQUIRE_HOSTS is set.
    """
    user = folder / "profile" / "user"
    user.mkdir(parents=True, exist_ok=True)
    (user / "registrymodifications.xcu").write_text(_PROFILE.format(mode=0 if recalculate else 1), "utf-8")
    out = folder / "converted"
    command = [soffice(), f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--norestore"]
    process = subprocess.Popen(
        [*command, "--convert-to", to, "--outdir", str(out), str(source)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    try:
        printed, _ = process.communicate(timeout=_SECONDS)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        pytest.fail(f"LibreOffice took longer than {_SECONDS} seconds")
    made = sorted(out.glob(f"{source.stem}*.{to.split(':', maxsplit=1)[0]}"))
    assert made, printed.decode(errors="replace")
    return made[0]


def csv_rows(source: Path, folder: Path, *, sheet: int = 1, recalculate: bool = False) -> list[list[str]]:
    """The cells of one sheet as LibreOffice shows them, numbers in full."""
    # Comma, quote, UTF-8, from line 1, all columns as they are, no language, numbers unformatted, the sheet's number.
    options = f"44,34,76,1,,0,false,false,false,false,false,{sheet}"
    made = convert(source, f"csv:Text - txt - csv (StarCalc):{options}", folder, recalculate=recalculate)
    with made.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))

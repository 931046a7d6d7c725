"""Runs Basic modules in a headless LibreOffice with a profile of their own, and gives back what they print."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from xml.sax.saxutils import escape

from hosts.required import soffice

_DOCTYPE = '<!DOCTYPE {0}:{1} PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "{1}.dtd">'
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


_NEXT = "--- next"


def run(folder: Path, modules: Mapping[str, str], mains: Mapping[str, str]) -> dict[str, list[str]]:
    """The lines that each of ``mains``, the bodies of Subs run in one start, writes with ``Print #1``, by its name.

    The test is skipped where LibreOffice is missing, unless STILLBOOK_REQUIRE_HOSTS is set.

    Args:
        folder: Where the profile goes.
        modules: The VBA modules, which they find as they left them for each other.
        mains: The bodies, each with names of its own; one that fails says so and stops no other.
    """
    profile, printed = folder / "profile", folder / "printed.txt"
    shutil.copytree(Path(_written().name), profile)
    library = profile / "user" / "basic" / "Standard"
    subs = [_sub(f"Run{place}", main) for place, main in enumerate(mains.values())]
    starts = "\n".join(f'Run{place}\nPrint #1, "{_NEXT}"' for place in range(len(mains)))
    run_mains = f"""Sub Run
Open "{printed}" For Output As #1
{starts}
Close #1
StarDesktop.terminate
End Sub
"""
    texts = {**modules, "Main": "\n".join([*subs, run_mains])}
    for name, text in texts.items():
        body = "\n".join(line for line in text.split("\n") if not line.startswith("Attribute "))
        (library / f"{name}.xba").write_text(
            _HEAD
            + _DOCTYPE.format("script", "module")
            + f'\n<script:module xmlns:script="http://openoffice.org/2000/script" script:name="{name}" '
            f'script:language="StarBasic">{escape("Option VBASupport 1" + chr(10) + body)}</script:module>\n',
            encoding="utf-8",
        )
    (library / "script.xlb").write_text(
        _HEAD
        + _DOCTYPE.format("library", "library")
        + '\n<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" '
        'library:readonly="false" library:passwordprotected="false">'
        + "".join(f'<library:element library:name="{name}"/>' for name in texts)
        + "</library:library>\n",
        encoding="utf-8",
    )
    _start(profile, "macro:///Standard.Main.Run")
    assert printed.exists(), "the Basic modules were not run: a module does not compile"
    pieces = printed.read_text(encoding="utf-8").split(f"{_NEXT}\n")
    return {name: piece.splitlines() for name, piece in zip(mains, pieces, strict=False)}


def _sub(name: str, main: str) -> str:
    return f"""Sub {name}
On Error GoTo failed
{main}
Exit Sub
failed:
Print #1, "failed: " & Error$ & " in line " & Erl
End Sub
"""


@cache
def _written() -> tempfile.TemporaryDirectory[str]:
    """A profile as a first start writes it, which would write over modules that stood there before."""
    folder = tempfile.TemporaryDirectory(prefix="stillbook-")
    _start(Path(folder.name), "--terminate_after_init")
    return folder


def _start(profile: Path, what: str) -> None:
    """Run LibreOffice to its end; what hangs is ended with the processes it started itself."""
    command = [soffice(), f"-env:UserInstallation={profile.as_uri()}", "--headless", "--norestore", "--nologo", what]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
    try:
        assert process.wait(timeout=120) == 0
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()

"""The module of Basic functions in a user's library where LibreOffice broke down and so did not take it out again."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from stillbook.hosts.libreoffice.stillbook_calc.basic_module import LIBRARY, MARK, NAME

_OURS: Final = re.compile(rf"<script:module[^>]*>\s*{re.escape(MARK)}")


def remove(profile: Path) -> list[str]:
    """Remove our modules from the library of a user; gives their names. The user's own stay as they are.

    Args:
        profile: Folder of the user's settings of LibreOffice, which must be closed.

    Raises:
        OSError: If a file cannot be changed.
    """
    library = profile / "user" / "basic" / LIBRARY
    there = sorted(library.glob(f"{NAME}*.xba"))
    modules = [file for file in there if _OURS.search(file.read_text(encoding="utf-8", errors="replace"))]
    if not modules:
        return []
    names = [file.stem for file in modules]
    listed = library / "script.xlb"
    if listed.is_file():
        entry = rf'\s*<library:element library:name="(?:{"|".join(map(re.escape, names))})"/>'
        beside = listed.with_suffix(".new")
        beside.write_text(re.sub(entry, "", listed.read_text(encoding="utf-8")), encoding="utf-8")
        beside.replace(listed)
    for file in modules:
        file.unlink()
    return names

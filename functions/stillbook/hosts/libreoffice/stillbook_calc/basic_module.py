"""The module of Basic functions in the user's library, which is there as long as LibreOffice runs."""

from __future__ import annotations

from typing import Any

MARK = "REM Made by the extension Stillbook, which takes it away again."
"""The first line of the module, by which it is told from the user's own."""

LIBRARY = "Standard"
"""The library that is always loaded; cells find functions in no other."""

NAME = "Stillbook"


def put(libraries: Any, source: str) -> None:
    """Put the module into the library; the user's own modules stay as they are, of whatever name.

    Args:
        libraries: LibreOffice's container of the user's libraries.
        source: Text of the module, with its mark.
    """
    library = _library(libraries)
    ours = _ours(library)
    if ours and library.getByName(ours[0]) == source:
        return
    if ours:
        library.replaceByName(ours[0], source)
        return
    name, number = NAME, 1
    while library.hasByName(name):
        number += 1
        name = f"{NAME}{number}"
    library.insertByName(name, source)


def take(libraries: Any) -> None:
    """Take the module out of the library again."""
    library = _library(libraries)
    for name in _ours(library):
        library.removeByName(name)


def _library(libraries: Any) -> Any:
    libraries.loadLibrary(LIBRARY)
    return libraries.getByName(LIBRARY)


def _ours(library: Any) -> list[str]:
    return [
        name for name in library.getElementNames() if name.startswith(NAME) and library.getByName(name).startswith(MARK)
    ]

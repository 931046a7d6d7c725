"""What is told of a workbook that other formulas calculated, or that was made from another version of its template."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from stillbook import __version__
from stillbook.templates.shipped import template
from stillbook.workbook.file.origin import Origin

_MOST_LINES: Final = 30
"""Lines of what changed that are told at once."""

_SECTION: Final = re.compile(r"^## (?P<title>.+)$", re.MULTILINE)


def words(origin: Origin) -> str:
    """What a file says of itself, in a line; empty where it says nothing.

    >>> words(Origin("0.1.0", "booth-estimate", "1"))
    'calculated by Stillbook 0.1.0; template booth-estimate, version 1'
    """
    said = [f"calculated by Stillbook {origin.formulas}"] if origin.formulas else []
    if origin.template:
        said.append(f"template {origin.template}" + (f", version {origin.version}" if origin.version else ""))
    return "; ".join(said)


def news(path: Path, origin: Origin, title: str = "") -> list[str]:
    """What to tell, once, of a file of another version, in lines: what changed since, and what there is to do.

    Args:
        path: The file.
        origin: What it says of itself.
        title: Its title, by which a file that says nothing of itself is known; files of the first versions do not.
    """
    told: list[str] = []
    unsaid = title.strip().lower().replace(" ", "-")
    if origin == Origin() and _newest(unsaid):
        told.append(
            f"{path}: it does not say what made it, as estimates of the first versions do not; by its title it is a "
            f'{unsaid}: "stillbook carry {path} --to {unsaid} NEWFILE" moves the job onto the template of today.'
        )
    if origin.formulas and origin.formulas != __version__:
        told.append(f"{path}: it was last calculated by Stillbook {origin.formulas}; this is {__version__}.")
        told += _cut(changes_since(origin.formulas))
    newest = _newest(origin.template)
    if newest and _numbers(origin.version) < (newest,):
        told.append(
            f"{path}: its template {origin.template} has a newer version ({origin.version or 'none'}, now {newest}): "
            f'"stillbook carry {path} --to {origin.template} NEWFILE" moves the job onto it.'
        )
    return told


def changes_since(version: str) -> list[str]:
    """The lines of the sections of the list of changes that are newer than a version; none for a newer one."""
    text = _changes()
    found = list(_SECTION.finditer(text))
    lines: list[str] = []
    for place, section in enumerate(found):
        numbers = _numbers(section["title"])
        if not numbers or _numbers(version) < numbers <= _numbers(__version__):
            end = found[place + 1].start() if place + 1 < len(found) else len(text)
            lines += [line for line in text[section.start() : end].splitlines() if line.strip()]
    return lines


def _newest(name: str) -> int:
    try:
        return template(name).version if name else 0
    except LookupError:
        return 0


def _numbers(version: str) -> tuple[int, ...]:
    """A version as numbers; none for words."""
    found = re.match(r"\d+(\.\d+)*", version.strip())
    return tuple(map(int, found[0].split("."))) if found else ()


def _cut(lines: list[str]) -> list[str]:
    rest = len(lines) - _MOST_LINES
    return lines if rest <= 0 else [*lines[:_MOST_LINES], f"… and {rest} lines more in {_place()}"]


def _place() -> Path:
    """The list of changes: inside an installed package, at the top of a source checkout."""
    package = Path(__file__).parents[1]
    inside = package / "CHANGELOG.md"
    return inside if inside.is_file() else package.parents[1] / "CHANGELOG.md"


def _changes() -> str:
    place = _place()
    return place.read_text("utf-8") if place.is_file() else ""

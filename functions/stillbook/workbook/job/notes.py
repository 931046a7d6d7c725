"""The notes on a workbook's names, by which people and programs know its inputs and results.

The note on a defined name (its ``comment``) says what the cell is:

- an input: ``Inside length. | unit: ft | from: 3 | to: 60 | default: 7``, ``… | choices: pair; single``,
  ``… | text``, ``… | whole``, ``… | optional``, ``… | load`` of a floor, which takes a pressure too,
  ``… | difference`` of two temperatures, ``… | one job`` where it is not taken into the next client's job,
  ``… | tries: 1; 2; 4`` where an exploration varies it, with the values that it tries;
- a key result: ``Price | result | unit: USD``, ``… | best: least`` or ``… | best: most`` where an exploration looks for
  that;
- the block of checks, one rule a row: ``| checks``;
- a column of inputs, named as a whole: ``Leaf width. | unit: in | optional | column``. Its cells are inputs by the name
  of the column and the number of the row: ``widths_1``, ``widths_2``.

Some spreadsheet programs drop these notes when they save. :func:`keep_note` therefore writes each one a second time,
as a property of the file under the same name, which they keep; and where both are lost, the rule for what may be typed
into a named cell still gives its limits and choices.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from openpyxl import Workbook

LONGEST_NOTE: Final = 255
"""The longest note that spreadsheet programs take on a name."""

CHECKS_NOTE: Final = "| checks"
"""The note on the name of a template's block of checks: first column the rule, the last two its state and advice."""

_WORDS: Final = (
    "text",
    "whole",
    "optional",
    "any",
    "result",
    "checks",
    "column",
    "material",
    "load",
    "difference",
    "one job",
)
_PAIRS: Final = ("unit", "from", "to", "default", "choices", "tries", "best")


def note_text(name: str, help_text: str, parts: Iterable[tuple[str, str | None]]) -> str:
    """A note from its help and its marked parts, each a word or a word with a value.

    Raises:
        ValueError: If it would be too long for a spreadsheet program, or a part holds the mark that separates.
    """
    pieces = [help_text.strip(), *(key if value is None else f"{key}: {value}" for key, value in parts)]
    if any("|" in piece for piece in pieces):
        raise ValueError(f"{name}: a note may not hold the mark |")
    note = " | ".join(pieces).strip()
    if len(note) > LONGEST_NOTE:
        raise ValueError(f"{name}: its note has {len(note)} characters: shorten the help to fit in {LONGEST_NOTE}")
    return note


def note_parts(note: str) -> tuple[str, dict[str, str]]:
    """Help and marked parts of a note; no parts for a note that is not in our form."""
    help_text, *pieces = (piece.strip() for piece in note.split("|"))
    parts = {}
    for piece in pieces:
        key, mark, value = piece.partition(":")
        key = key.strip().lower()
        if (mark and key in _PAIRS) or (not mark and key in _WORDS):
            parts[key] = value.strip()
    return help_text, parts


def keep_note(workbook: Workbook, name: str, refers_to: str, comment: str) -> None:
    """Add a name to a workbook that openpyxl builds, with its note on the name and again as a property of the file.

    Args:
        workbook: The workbook under construction.
        name: The defined name.
        refers_to: What it refers to, such as ``Inputs!$B$7``.
        comment: The note, from the ``comment`` of an input or of a result.
    """
    from openpyxl.packaging.custom import StringProperty
    from openpyxl.workbook.defined_name import DefinedName as OpenpyxlName

    workbook.defined_names[name] = OpenpyxlName(name, attr_text=refers_to, comment=comment or None)
    if comment:
        workbook.custom_doc_props.append(StringProperty(name=name, value=comment))

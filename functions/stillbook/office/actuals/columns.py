"""Rows of a CSV file under headings, as any program for bookkeeping writes them."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from stillbook.quantities import QuantityError, convert
from stillbook.workbook import WorkbookError

_MOST_BYTES: Final = 20_000_000
_PLAIN: Final = re.compile(r"[+-]?\d+(\.\d*)?|[+-]?\.\d+")
_GROUPED: Final = re.compile(r"[+-]?\d{1,3}(,\d{3})+(\.\d*)?")
_WITH_COMMA: Final = re.compile(r"[+-]?\d+,\d*")
_WITH_UNIT: Final = re.compile(r"(?P<number>[+-]?[\d., ]*[\d.,])\s*(?P<unit>\D.*)?", re.DOTALL)


@dataclass(frozen=True, slots=True)
class CsvRow:
    """A row of a CSV file: what stands under each heading that was asked for, and where."""

    place: str
    cells: dict[str, str]
    comma_parts: bool

    def text(self, heading: str) -> str:
        return " ".join(self.cells.get(heading, "").split())

    def number(self, heading: str, unit: str = "", signs: Sequence[str] = ()) -> float | None:
        """The number under a heading, None where nothing stands.

        Args:
            heading: The heading.
            unit: What it is in; it may stand behind the number, as may any unit that the program converts to it.
            signs: What else may stand behind it without changing it.

        Raises:
            WorkbookError: If it is no number, could be read in two ways, or has a unit of something else.
        """
        said = self.text(heading)
        if not said:
            return None
        parts = _WITH_UNIT.fullmatch(said)
        number = self._plain(parts["number"].replace(" ", "")) if parts else None
        behind = (parts["unit"] or "").strip() if parts else ""
        if number is not None and behind.casefold() in {"", unit.casefold(), *(sign.casefold() for sign in signs)}:
            return number
        known = _is_known(unit)
        if known and (number is not None or "," not in said):
            try:
                return convert(said if number is None else f"{number:.15g} {behind}", unit)
            except QuantityError as error:
                raise WorkbookError(f"{self.place}: {error}") from None
        example = f"1234.50{f', or with its unit, as 1234.50 {unit}' if known else f', in {unit}' if unit else ''}"
        raise WorkbookError(f'{self.place}: {heading} "{said[:40]}" is not understood: write it as {example}')

    def _plain(self, held: str) -> float | None:
        """A number without a unit; None where it is none, or could be read in two ways."""
        if _PLAIN.fullmatch(held):
            return float(held)
        if self.comma_parts and _GROUPED.fullmatch(held):
            return float(held.replace(",", ""))
        if not self.comma_parts and _WITH_COMMA.fullmatch(held) and not _GROUPED.fullmatch(held):
            return float(held.replace(",", "."))
        return None


def _is_known(unit: str) -> bool:
    """Whether quantities can be converted to a unit."""
    try:
        return bool(unit) and convert(f"1 {unit}", unit) == 1
    except QuantityError:
        return False


def read_rows(path: Path, needed: Sequence[str], others: Sequence[str]) -> list[CsvRow]:
    """The rows of a CSV file that hold anything.

    Commas, semicolons or tabs part the columns, whichever the first line uses; columns of other headings are passed
    over.

    Args:
        path: The file.
        needed: Headings that it must have, in any letter case.
        others: Headings that it may have.

    Raises:
        WorkbookError: If it cannot be read, lacks a heading, or has one twice.
    """
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise WorkbookError(f"{path}: it is too long for the books of one job: check the name")
        text = path.read_text("utf-8-sig")
    except UnicodeDecodeError:
        raise WorkbookError(f"{path}: it is not plain text in UTF-8: save it as CSV in UTF-8") from None
    except OSError as error:
        raise WorkbookError(f"{path}: it cannot be read ({error.strerror})") from None
    mark = max(",;\t", key=text.partition("\n")[0].count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    wanted = (*needed, *others)
    try:
        heads = [" ".join(head.lower().split()) for head in next(reader, [])]
        for name in wanted:
            if heads.count(name) > 1:
                raise WorkbookError(f"{path}: it has the column {name} twice: leave one")
        if lacking := [name for name in needed if name not in heads]:
            said = ", ".join((*needed, *others))
            raise WorkbookError(
                f"{path}: its first line does not name the column {lacking[0]}: give a CSV file with {said}"
            )
        at = {name: heads.index(name) for name in wanted if name in heads}
        return [
            CsvRow(
                f"{path}, line {reader.line_num}",
                {name: row[place] for name, place in at.items() if place < len(row)},
                mark == ",",
            )
            for row in reader
            if any(cell.strip() for cell in row)
        ]
    except csv.Error as error:
        raise WorkbookError(f"{path}, line {reader.line_num}: {error}: check its quotes") from None

"""The table of variants for other programs: a row each, as CSV or Parquet."""

from __future__ import annotations

from pathlib import Path

from stillbook.office.explore.exploration import Exploration
from stillbook.office.explore.outcome import Variant
from stillbook.office.register import Record, check_register, write_register


def check_table(path: Path, *, replace: bool) -> None:
    """Refuse a table before any work is done for it.

    Raises:
        WorkbookError: If its ending is not known, a library for it is missing, or it exists and may not be replaced.
    """
    check_register(path, replace=replace)


def write_table(found: Exploration, path: Path) -> None:
    """Write all variants, the job as it stands first: number, where it stands, what rules it out, inputs and results.

    Raises:
        WorkbookError: If it cannot be written.
    """
    on_front = {variant.number for variant in found.front}
    write_register(path, [_record(variant, variant.number in on_front) for variant in (found.base, *found.variants)])


def _record(variant: Variant, front: bool) -> Record:
    held = {
        "variant": variant.number,
        "standing": "front" if front else "passes" if variant.stands else "ruled out",
        "ruled_out_by": "; ".join(variant.ruled_out),
        **variant.values,
        **{name: value for name, value in variant.outcome.results.items() if name not in variant.values},
    }
    return {
        name: str(value).upper() if isinstance(value, bool) else value
        for name, value in held.items()
        if isinstance(value, str | float | int)
    }

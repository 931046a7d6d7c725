"""Building the shipped workbooks: written, settled to the same bytes every time, proved whole, and calculated.

Run ``python -m stillbook.templates.build FOLDER`` to write them all.
"""

from __future__ import annotations

import io
import re
import sys
import zipfile
from pathlib import Path
from typing import Final

from stillbook.quantities import SYSTEMS, System
from stillbook.templates import air_schedule, bid_comparison, booth, conversion, door_schedule, price_book
from stillbook.templates.charts import keep_formats
from stillbook.templates.faults import refuse_broken
from stillbook.templates.page import Book
from stillbook.templates.parts.inputs import STAYS_BLANK
from stillbook.workbook.job.estimate import Job

BUILDERS: Final = {
    "booth_estimate": booth.build,
    "room_conversion": conversion.build,
    "door_schedule": door_schedule.build,
    "air_schedule": air_schedule.build,
    "price_book": price_book.build,
    "bid_comparison": bid_comparison.build,
}
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
_STAMP: Final = "2026-01-01T00:00:00Z"


def settled(book: Book) -> bytes:
    """A book as .xlsx bytes that do not depend on when or where it is built."""
    raw = io.BytesIO()
    keep_formats(book.workbook)
    book.workbook.save(raw)
    out = io.BytesIO()
    with zipfile.ZipFile(raw) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as target:
        for name in source.namelist():
            data = source.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:\w+[^>]*>)[^<]*(</dcterms)", rb"\g<1>" + _STAMP.encode() + rb"\2", data)
            entry = zipfile.ZipInfo(name, _EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            target.writestr(entry, data)
    return out.getvalue()


def build(name: str, system: System, folder: Path) -> Path:
    """Build, calculate and write one template; gives its path.

    Raises:
        BrokenPage: If a page of it is broken; nothing is written then.
    """
    path = folder / f"{name}_{system.lower()}.xlsx"
    book = BUILDERS[name](system)
    data = settled(book)
    refuse_broken(book.workbook, data, STAYS_BLANK)
    path.write_bytes(data)
    job = Job.open(path)
    job.calculate()
    job.save()
    return path


def main(folder: Path) -> None:
    """Write every template in both unit systems."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in BUILDERS:
        for system in SYSTEMS:
            print(build(name, system, folder))


if __name__ == "__main__":
    main(Path(sys.argv[1]))

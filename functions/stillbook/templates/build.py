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

from openpyxl.packaging.custom import StringProperty

from stillbook import __version__
from stillbook.quantities import SYSTEMS, System
from stillbook.templates import air_schedule, bid_comparison, booth, conversion, door_schedule, price_book, quick_quote
from stillbook.templates.charts import keep_formats
from stillbook.templates.faults import refuse_broken
from stillbook.templates.page import Book
from stillbook.templates.parts.inputs import STAYS_BLANK
from stillbook.templates.saving import saved
from stillbook.templates.shipped import Template, template
from stillbook.workbook.file.origin import CALCULATED_BY, TEMPLATE, TEMPLATE_VERSION
from stillbook.workbook.job.estimate import Job

BUILDERS: Final = {
    "booth_estimate": booth.build,
    "room_conversion": conversion.build,
    "door_schedule": door_schedule.build,
    "air_schedule": air_schedule.build,
    "price_book": price_book.build,
    "bid_comparison": bid_comparison.build,
    "quick_quote": quick_quote.build,
}
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
_STAMP: Final = "2026-01-01T00:00:00Z"


def mark(book: Book, entry: Template) -> None:
    """Let a book say which template it is."""
    for name, value in ((CALCULATED_BY, __version__), (TEMPLATE, entry.name), (TEMPLATE_VERSION, str(entry.version))):
        book.workbook.custom_doc_props.append(StringProperty(name=name, value=value))


def settled(book: Book) -> bytes:
    """A book as .xlsx bytes that do not depend on when or where it is built."""
    keep_formats(book.workbook)
    out = io.BytesIO()
    raw = io.BytesIO(saved(book.workbook))
    with zipfile.ZipFile(raw) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as target:
        for name in source.namelist():
            data = source.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:\w+[^>]*>)[^<]*(</dcterms)", rb"\g<1>" + _STAMP.encode() + rb"\2", data)
            part = zipfile.ZipInfo(name, _EPOCH)
            part.compress_type = zipfile.ZIP_DEFLATED
            part.external_attr = 0o600 << 16
            target.writestr(part, data)
    return out.getvalue()


def build(name: str, system: System, folder: Path) -> Path:
    """Build, calculate and write one template; gives its path.

    Raises:
        BrokenPage: If a page of it is broken; nothing is written then.
    """
    path = folder / f"{name}_{system.lower()}.xlsx"
    book = BUILDERS[name](system)
    mark(book, template(name))
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

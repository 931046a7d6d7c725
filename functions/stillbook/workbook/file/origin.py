"""What made and calculated a workbook, as properties of the file that spreadsheet programs keep and show."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from stillbook.workbook.file.markup import marked

CALCULATED_BY: Final = "Calculated by Stillbook"
TEMPLATE: Final = "Stillbook template"
TEMPLATE_VERSION: Final = "Stillbook template version"

_FORM: Final = "{D5CDD505-2E9C-101B-9397-08002B2CF9AE}"
"""The set of properties that belongs to the user, as the standard of document properties names it."""

_TYPES: Final = "http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes"
_NUMBER: Final = re.compile(rb'\bpid="(\d+)"')
_END: Final = re.compile(rb"</(?:\w+:)?Properties>\s*$")


@dataclass(frozen=True, slots=True)
class Origin:
    """What a file says of itself; each is empty where it does not say.

    Args:
        formulas: Version of the formulas that last calculated it.
        template: The template it was made from.
        version: The version of that template.
    """

    formulas: str = ""
    template: str = ""
    version: str = ""


def origin(properties: Mapping[str, str]) -> Origin:
    """What the properties of a file say.

    >>> origin({"Calculated by Stillbook": "0.1.0"}).formulas
    '0.1.0'
    """
    return Origin(*(properties.get(name, "").strip() for name in (CALCULATED_BY, TEMPLATE, TEMPLATE_VERSION)))


def with_property(data: bytes, name: str, value: str) -> bytes:
    """The part of the properties with one of them set, every other byte as it was.

    >>> with_property(b'<Properties xmlns="x"></Properties>', "a", "1").count(b'name="a"')
    1
    """
    kept = re.compile(
        rb'(<(?:\w+:)?property\b[^>]*\bname="'
        + re.escape(name).encode()
        + rb'"[^>]*>\s*<(\w+:)?lpwstr[^>]*>)[^<]*(?=<)'
    )
    text = marked(value).encode()
    if kept.search(data):
        return kept.sub(lambda found: found[1] + text, data, count=1)
    number = max((int(found) for found in _NUMBER.findall(data)), default=1) + 1
    made = (
        f'<property xmlns="http://schemas.openxmlformats.org/officeDocument/2006/custom-properties" fmtid="{_FORM}" '
        f'pid="{number}" name="{marked(name)}"><vt:lpwstr xmlns:vt="{_TYPES}">'
    ).encode()
    return _END.sub(lambda end: made + text + b"</vt:lpwstr></property>" + end[0], data, count=1)

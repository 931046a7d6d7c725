"""Reading XML parts by byte position, so that an edit leaves every other byte as it was."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Final, NoReturn
from xml.parsers import expat

from stillbook.workbook import WorkbookError

_WHOLE = re.compile(r"[+-]?[0-9]{1,10}")
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_TO_ESCAPE = re.compile(r"[\x00-\x08\x0b-\x1f\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
_SURROGATE = re.compile("[\ud800-\udfff]")
_ATTRIBUTE_SIGNS: Final = str.maketrans(
    {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\n": "&#10;", "\r": "&#13;", "\t": "&#9;"}
)


def parser() -> expat.XMLParserType:
    """A parser that refuses document types, and with them entities of any kind."""
    made = expat.ParserCreate()
    made.buffer_text = True
    made.StartDoctypeDeclHandler = _refuse_document_type
    made.XmlDeclHandler = _require_utf8
    return made


def _require_utf8(_version: str, encoding: str | None, _standalone: int) -> None:
    if (encoding or "utf-8").lower() not in ("utf-8", "us-ascii"):
        raise WorkbookError(
            f"its parts are written in {encoding}, not in UTF-8: save it again in a spreadsheet program"
        )


def _refuse_document_type(*_: object) -> NoReturn:
    raise WorkbookError("it holds a document type declaration, which no spreadsheet program writes: it is not opened")


def parse(reader: expat.XMLParserType, data: bytes, part: str) -> None:
    """Run a parser over a part.

    Raises:
        WorkbookError: If the part is not well formed, or not in UTF-8.
    """
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        _require_utf8("", "UTF-16", 0)
    try:
        reader.Parse(data, True)
    except expat.ExpatError as error:
        raise WorkbookError(f"it is damaged ({part} line {error.lineno}): use an earlier copy of it") from None


def tag_end(data: bytes, start: int) -> int:
    """The position after the tag that starts at ``start``; a ``>`` inside quotes does not end it."""
    at = start
    while True:
        close = data.index(b">", at)
        quote = min((q for q in (data.find(b'"', at, close), data.find(b"'", at, close)) if q >= 0), default=-1)
        if quote < 0:
            return close + 1
        at = data.index(data[quote : quote + 1], quote + 1) + 1


def tag(name: str, attributes: Iterable[tuple[str, str]], *, empty: bool = False) -> str:
    """A start tag, or an empty element."""
    written = "".join(
        f' {key}="{value if value.isalnum() else value.translate(_ATTRIBUTE_SIGNS)}"' for key, value in attributes
    )
    return f"<{name}{written}{'/' if empty else ''}>"


def marked(text: str) -> str:
    """Text as an element holds it.

    >>> marked("A1<2")
    'A1&lt;2'
    """
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def escaped(text: str) -> str:
    """Text as a cell stores it: markup signs and, in the manner of the file format, control characters.

    >>> escaped("1 < 2\\r")
    '1 &lt; 2_x000D_'
    """
    text = _SURROGATE.sub("\ufffd", text)
    return marked(_TO_ESCAPE.sub(lambda sign: f"_x{ord(sign[0]):04X}_", text))


def unescaped(text: str) -> str:
    """Text as a cell shows it.

    >>> unescaped("a_x000D_b")
    'a\\rb'
    """
    return _ESCAPED.sub(lambda sign: chr(int(sign[1], 16)), text) if "_x" in text else text


def whole(text: str | None, default: int = 0) -> int:
    """A whole number that the file format holds as text; the default where it is left out.

    >>> whole("12"), whole(None, 8)
    (12, 8)

    Raises:
        WorkbookError: If it is anything else, or too long to count cells, styles or texts.
    """
    if text is None:
        return default
    if not _WHOLE.fullmatch(text.strip()):
        raise _no_number(text)
    return int(text)


def decimal(text: str | None, default: float) -> float:
    """A number that the file format holds as text; the default where it is left out.

    Raises:
        WorkbookError: If it is none.
    """
    if text is None:
        return default
    try:
        number = float(text)
    except ValueError:
        raise _no_number(text) from None
    if not math.isfinite(number):
        raise _no_number(text)
    return number


def _no_number(text: str) -> WorkbookError:
    return WorkbookError(f'it is damaged ("{text[:20]}" stands where a number belongs): use an earlier copy of it')


def local(name: str) -> str:
    """An element's name without its prefix."""
    return name.rpartition(":")[2]

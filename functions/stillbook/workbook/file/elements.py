"""Changing the text of some elements in an XML part, or removing them; every other byte stays."""

from __future__ import annotations

from collections.abc import Callable, Collection

from stillbook.workbook.file.markup import local, marked, parse, parser, tag_end


def with_elements(
    data: bytes, part: str, names: Collection[str], change: Callable[[str], str | None]
) -> tuple[bytes, int]:
    """A part with the text of some elements changed, and how many were.

    Args:
        data: The part.
        part: Its name, for messages.
        names: The elements' names without prefix. They hold text alone.
        change: Given an element's text, gives its new text, or None to remove the element.

    Raises:
        WorkbookError: If the part is not well formed.
    """
    out: list[bytes] = []
    copied = count = 0
    start = 0
    text: list[str] = []
    reader = parser()

    def opened(name: str, _: dict[str, str]) -> None:
        nonlocal start
        if local(name) in names:
            start = reader.CurrentByteIndex
            text.clear()

    def closed(name: str) -> None:
        nonlocal copied, count
        if local(name) not in names:
            return
        old = "".join(text)
        new = change(old)
        if new == old:
            return
        inside = tag_end(data, start)
        empty = data[inside - 2 : inside] == b"/>"
        end = inside if empty else reader.CurrentByteIndex
        count += 1
        if new is None:
            out.append(data[copied:start])
            copied = end if empty else data.index(b">", end) + 1
        elif not empty:
            out.append(data[copied:inside] + marked(new).encode())
            copied = end

    reader.StartElementHandler = opened
    reader.EndElementHandler = closed
    reader.CharacterDataHandler = text.append
    parse(reader, data, part)
    return b"".join((*out, data[copied:])), count

"""How wide the columns of a sheet are, and how tall its rows: rows are made taller, every other byte stays."""

from __future__ import annotations

from collections.abc import Mapping

from stillbook.workbook.file.markup import local, parse, parser, tag, tag_end, whole


def column_widths(data: bytes, part: str) -> dict[int, float]:
    """The widths of the columns of a sheet's part that say theirs, in letters.

    Raises:
        WorkbookError: If the part is not well formed.
    """
    found: dict[int, float] = {}
    reader = parser()

    def start(name: str, attributes: dict[str, str]) -> None:
        if local(name) == "col" and "width" in attributes:
            first, last = (whole(attributes.get(key), 1) for key in ("min", "max"))
            found.update(dict.fromkeys(range(first, min(last, first + 1000) + 1), float(attributes["width"])))

    reader.StartElementHandler = start
    parse(reader, data, part)
    return found


def with_heights(data: bytes, part: str, heights: Mapping[int, float]) -> bytes:
    """A sheet's part whose rows, where they say none of their own choice, are so tall in points: as programs fit them.

    Raises:
        WorkbookError: If the part is not well formed.
    """
    out: list[bytes] = []
    copied = 0
    reader = parser()

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal copied
        height = heights.get(whole(attributes.get("r"), 0)) if local(name) == "row" else None
        if height is None or "customHeight" in attributes:
            return
        at = reader.CurrentByteIndex
        end = tag_end(data, at)
        made = tag(name, {**attributes, "ht": f"{height:.4g}"}.items(), empty=data[end - 2 : end] == b"/>")
        out.append(data[copied:at] + made.encode())
        copied = end

    reader.StartElementHandler = start
    parse(reader, data, part)
    return b"".join((*out, data[copied:]))

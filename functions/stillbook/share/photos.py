"""Pictures as files: a PNG or a JPEG without the notes in it, and whether it lets through what is behind it."""

from __future__ import annotations

import struct
import zlib
from typing import Final

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_PNG_LENGTHS: Final = {
    b"IHDR": 13, b"PLTE": 768, b"IDAT": 2**31, b"IEND": 0, b"tRNS": 256, b"gAMA": 4, b"cHRM": 32, b"sRGB": 1,
    b"sBIT": 4, b"bKGD": 6, b"pHYs": 9,
}  # fmt: skip
"""The chunks that say how a picture looks, with the most bytes that each may have."""

_CHANNELS: Final = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_WITH_ALPHA: Final = (4, 6)
_MOST_PIXELS: Final = 200_000_000
_ADOBE_LENGTH: Final = 14


def is_png(data: bytes) -> bool:
    """Whether a file is a PNG."""
    return data.startswith(_PNG)


def lets_through(data: bytes) -> bool:
    """Whether a picture may show what is behind it: a PNG with a channel for that."""
    if not is_png(data) or len(data) < 26:
        return False
    return data[25] in _WITH_ALPHA or b"tRNS" in data[:4096]


def shorter_side(data: bytes) -> int:
    """The shorter side of a PNG in dots; 0 for any other file."""
    if not is_png(data) or len(data) < 24:
        return 0
    return int(min(struct.unpack(">2I", data[16:24])))


def bare_picture(data: bytes) -> bytes | None:
    """A PNG or JPEG picture without the notes in its file; None for any other, or a damaged one.

    Such files can name their author, their place, their program, or hold a smaller picture of an earlier state.
    """
    try:
        if data.startswith(_PNG):
            return _bare_png(data)
        if data.startswith(b"\xff\xd8"):
            return _bare_jpeg(data)
    except (struct.error, IndexError):
        return None
    return None


def _bare_png(data: bytes) -> bytes | None:
    out = bytearray(_PNG)
    at = len(_PNG)
    dots = bytearray()
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        kind, end = data[at + 4 : at + 8], at + 12 + length
        if end > len(data):
            return None
        if kind == b"IDAT":
            dots += data[at + 8 : at + 8 + length]
        if length <= _PNG_LENGTHS.get(kind, -1):
            out += data[at:end]
        if kind == b"IEND":
            return bytes(out) if _is_all_dots(bytes(dots), data[16:29]) else None
        at = end
    return None


def _is_all_dots(packed: bytes, head: bytes) -> bool:
    """Whether the packed rows of a PNG hold the rows of its size and nothing after them."""
    width, height, depth, kind, _, _, interlaced = struct.unpack(">2I5B", head)
    if kind not in _CHANNELS or not 0 < width * height <= _MOST_PIXELS:
        return False
    bits = depth * _CHANNELS[kind]
    steps = [(0, 0, 1, 1)]
    if interlaced:
        steps = [(0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2)]
    length = 0
    for left, top, across, down in steps:
        columns, rows = -(-(width - left) // across), -(-(height - top) // down)
        length += rows * (1 + -(-columns * bits // 8)) if columns > 0 and rows > 0 else 0
    reader = zlib.decompressobj()
    try:
        found = reader.decompress(packed, length + 1)
        return len(found) == length and reader.flush() == b"" and reader.eof and not reader.unused_data
    except zlib.error:
        return False


def _bare_jpeg(data: bytes) -> bytes | None:
    """Segments that carry notes are left out, but for the one that says how colours are coded."""
    out = bytearray(b"\xff\xd8")
    at = 2
    while at < len(data):
        if data[at] != 0xFF:
            return None
        mark = data[at + 1]
        if mark == 0xFF:
            at += 1
            continue
        if mark == 0xD9:
            return bytes(out + b"\xff\xd9")
        (length,) = struct.unpack_from(">H", data, at + 2)
        end = at + 2 + length
        is_colours = mark == 0xEE and length == _ADOBE_LENGTH and data[at + 4 : at + 9] == b"Adobe"
        is_note = mark == 0xFE or 0xE0 <= mark <= 0xEF
        if is_colours or not is_note:
            out += data[at:end]
        if mark == 0xDA:
            scan = end
            while not (data[scan] == 0xFF and data[scan + 1] != 0 and not 0xD0 <= data[scan + 1] <= 0xD7):
                scan += 1
            out += data[end:scan]
            end = scan
        at = end
    return None

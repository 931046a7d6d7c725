"""The zip container of a workbook: read within bounds, and written so that every untouched entry keeps its bytes."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import PurePosixPath
from typing import Final

from stillbook.workbook import WorkbookError

MOST_BYTES: Final = 256 * 2**20
MOST_UNPACKED: Final = 1024 * 2**20
MOST_PART: Final = 256 * 2**20
MOST_ENTRIES: Final = 5000
MOST_RATIO: Final = 400
_SMALL_PART: Final = 2**20

_LOCAL: Final = struct.Struct("<4s5H3I2H")
_CENTRAL: Final = struct.Struct("<4s6H3I5H2I")
_END: Final = struct.Struct("<4s4H2IH")
_FLAG_LOCKED: Final = 0x1
_FLAG_SIZES_FOLLOW: Final = 0x8
_ZIP64_FIELD: Final = 1


class Archive:
    """A zip file in memory.

    Args:
        data: The bytes of the file.

    Raises:
        WorkbookError: If it is no zip file, is cut short, or holds what a workbook never does.
    """

    def __init__(self, data: bytes) -> None:
        self.data = data
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(data))
        except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError, struct.error):
            raise WorkbookError("it is damaged or cut short: use an earlier copy of it") from None
        self._entries = self._zip.infolist()
        self._check()
        self._parts = {entry.filename.lower(): entry for entry in self._entries}

    @property
    def names(self) -> list[str]:
        """Entry names in file order."""
        return [entry.filename for entry in self._entries]

    def __contains__(self, name: str) -> bool:
        return name.lower() in self._parts

    def spelled(self, name: str) -> str:
        """An entry's name as the file spells it; a name of no entry as it is."""
        entry = self._parts.get(name.lower())
        return name if entry is None else entry.filename

    def read(self, name: str) -> bytes:
        """The bytes of an entry, its checksum verified; upper and lower case of the name are alike.

        Raises:
            WorkbookError: If it is missing or damaged.
        """
        entry = self._parts.get(name.lower())
        if entry is None:
            raise WorkbookError(f"it is damaged ({name} is missing): use an earlier copy of it")
        try:
            return self._zip.read(entry)
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, struct.error):
            raise WorkbookError(f"it is damaged ({name} cannot be read): use an earlier copy of it") from None

    def _check(self) -> None:
        """Refuse what could exhaust memory or fool a program that unpacks the file."""
        entries = self._entries
        if len(entries) > MOST_ENTRIES:
            raise WorkbookError(f"it has {len(entries)} parts, more than the {MOST_ENTRIES} allowed")
        if len({entry.filename.lower() for entry in entries}) != len(entries):
            raise WorkbookError("it is damaged (two parts have the same name): use an earlier copy of it")
        for entry in entries:
            name = entry.orig_filename
            if name.startswith("/") or "\\" in name or ":" in name or "\0" in name or ".." in PurePosixPath(name).parts:
                raise WorkbookError("it holds a part with an unsafe name, as no spreadsheet program writes it")
            if entry.flag_bits & _FLAG_LOCKED:
                raise WorkbookError("it is locked with a password: save a copy without one, and use that")
            if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                raise WorkbookError(
                    "it is packed in a way that spreadsheet programs do not read: save it as .xlsx again"
                )
            size = entry.file_size
            if size > MOST_PART or (size > _SMALL_PART and size > MOST_RATIO * max(1, entry.compress_size)):
                raise WorkbookError(f"its part {name[:80]} unpacks to {size / 2**20:.0f} MB, more than is allowed")
        unpacked = sum(entry.file_size for entry in entries)
        if unpacked > MOST_UNPACKED:
            raise WorkbookError(
                f"it unpacks to {unpacked / 2**20:.0f} MB, more than the {MOST_UNPACKED // 2**20} allowed"
            )
        self._spans()

    def _spans(self) -> dict[str, tuple[int, int]]:
        """First and last byte of each entry with its header, whatever lies between it and the next included."""
        ordered = sorted(self._entries, key=lambda entry: entry.header_offset)
        ends = [entry.header_offset for entry in ordered[1:]] + [self._zip.start_dir]
        spans = {}
        for entry, end in zip(ordered, ends, strict=True):
            start = entry.header_offset
            if start < 0 or start + _LOCAL.size > end or self.data[start : start + 4] != b"PK\x03\x04":
                raise WorkbookError("it is damaged or cut short: use an earlier copy of it")
            header = _LOCAL.unpack_from(self.data, start)
            if start + _LOCAL.size + header[9] + header[10] + entry.compress_size > end:
                raise WorkbookError("it is damaged (its parts overlap): use an earlier copy of it")
            spans[entry.filename] = (start, end)
        return spans

    def with_parts(self, changed: Mapping[str, bytes]) -> bytes:
        """The file with some parts replaced; all others keep their place, stamp, compression and bytes.

        Args:
            changed: New contents by entry name, as :attr:`names` spells it.
        """
        spans = self._spans()
        out = bytearray()
        first = min((start for start, _ in spans.values()), default=0)
        out += self.data[:first]
        moved: dict[str, tuple[int, int, int, int]] = {}
        for name, (start, end) in spans.items():
            entry = self._zip.getinfo(name)
            offset = len(out)
            if name not in changed:
                out += self.data[start:end]
                moved[name] = (offset, entry.CRC, entry.compress_size, entry.file_size)
                continue
            contents = changed[name]
            packed = contents
            if entry.compress_type == zipfile.ZIP_DEFLATED:
                squeeze = zlib.compressobj(6, zlib.DEFLATED, -15)
                packed = squeeze.compress(contents) + squeeze.flush()
            sizes = (zlib.crc32(contents), len(packed), len(contents))
            out += self._local_header(start, sizes) + packed
            moved[name] = (offset, *sizes)
        directory = self._directory(moved, set(changed))
        end_record = _END.pack(
            b"PK\x05\x06", 0, 0, len(moved), len(moved), len(directory), len(out), len(self._zip.comment)
        )
        return bytes(out) + directory + end_record + self._zip.comment

    def _local_header(self, start: int, sizes: tuple[int, int, int]) -> bytes:
        """The header before a changed entry: the old one with new sizes."""
        mark, version, flags, method, time, date, *_, name_length, extra_length = _LOCAL.unpack_from(self.data, start)
        name = self.data[start + _LOCAL.size : start + _LOCAL.size + name_length]
        extra = self.data[start + _LOCAL.size + name_length : start + _LOCAL.size + name_length + extra_length]
        extra = _without_zip64(extra)
        flags &= ~_FLAG_SIZES_FOLLOW
        return (
            _LOCAL.pack(mark, version, flags, method, time, date, *sizes, name_length, len(extra)) + bytes(name) + extra
        )

    def _directory(self, moved: Mapping[str, tuple[int, int, int, int]], changed: set[str]) -> bytes:
        """The list of entries at the end of the file, in its old order, with new places and sizes."""
        out = bytearray()
        at = self._zip.start_dir
        for entry in self._entries:
            fields = list(_CENTRAL.unpack_from(self.data, at))
            name_length, extra_length, comment_length = fields[10:13]
            tail = at + _CENTRAL.size
            name = self.data[tail : tail + name_length]
            extra = _without_zip64(self.data[tail + name_length : tail + name_length + extra_length])
            comment = self.data[tail + name_length + extra_length : tail + name_length + extra_length + comment_length]
            at = tail + name_length + extra_length + comment_length
            offset, *sizes = moved[entry.filename]
            if entry.filename in changed:
                fields[3] &= ~_FLAG_SIZES_FOLLOW
            fields[7:10] = sizes
            fields[11] = len(extra)
            fields[16] = offset
            out += _CENTRAL.pack(*fields) + name + extra + comment
        return bytes(out)


def _without_zip64(extra: bytes) -> bytes:
    """Extra fields without the one for large files: the sizes here always fit the plain fields."""
    kept = bytearray()
    at = 0
    while at + 4 <= len(extra):
        kind, length = struct.unpack_from("<HH", extra, at)
        if kind != _ZIP64_FIELD:
            kept += extra[at : at + 4 + length]
        at += 4 + length
    return bytes(kept) + extra[at:]

"""The UNO type library: one interface with a method for each formula, as the file that LibreOffice reads.

The file is written here, without LibreOffice's development kit, in the binary format that its ``unoidl-write`` writes
and that every LibreOffice since 4.1 reads. The format: numbers are little-endian; a *name* is ASCII text ended by a
zero byte; a *text* is its length in four bytes and its letters. The file starts with eight fixed bytes, then place and
size of the outermost map. A map is a list of entries sorted by name, each the place of a name and the place of what it
names: a module (a zero byte, the number of entries, and its map) or an interface.

Source: LibreOffice, unoidl/source/unoidlprovider.cxx, which reads the format.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from typing import Final

from stillbook.hosts.libreoffice.signatures import Method

_MARK: Final = b"UNOIDL\xff\0"
_MODULE: Final = 0
_INTERFACE: Final = 5
_IN: Final = 0


def type_library(interface: str, methods: Sequence[Method]) -> bytes:
    """The file with one interface, derived from the one that all interfaces have for their base.

    Args:
        interface: Its full name, such as ``stillbook.calc.XFormulas``.
        methods: Its methods; each takes values of any type.
    """
    *modules, name = interface.split(".")
    out = bytearray(_MARK + bytes(8))
    entry = _named(out, name, _interface(methods))
    for module in reversed(modules):
        entry = _named(out, module, bytes([_MODULE]) + _number(1) + entry)
    struct.pack_into("<II", out, len(_MARK), len(out), 1)
    return bytes(out + entry)


def _named(out: bytearray, name: str, content: bytes) -> bytes:
    """Add a name and what it names to the file; gives the map's entry for it."""
    name_place = len(out)
    out += name.encode("ascii") + b"\0"
    content_place = len(out)
    out += content
    return struct.pack("<II", name_place, content_place)


def _interface(methods: Sequence[Method]) -> bytes:
    none = _number(0)
    bases = _number(1) + _text("com.sun.star.uno.XInterface")
    optional_bases = attributes = none
    return b"".join(
        (bytes([_INTERFACE]), bases, optional_bases, attributes, _number(len(methods)), *map(_method, methods))
    )


def _method(method: Method) -> bytes:
    parameters = (bytes([_IN]) + _text(argument.name) + _text(argument.type) for argument in method.arguments)
    exceptions = _number(0)
    return b"".join(
        (_text(method.name), _text(method.result), _number(len(method.arguments)), *parameters, exceptions),
    )


def _number(value: int) -> bytes:
    return struct.pack("<I", value)


def _text(text: str) -> bytes:
    return _number(len(text)) + text.encode("ascii")

"""The type library says what LibreOffice's own development kit would have written for the same interface."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from hosts import small
from stillbook.catalogue import CatalogueError, formulas
from stillbook.hosts.libreoffice.signatures import INTERFACE, methods
from stillbook.hosts.libreoffice.typelibrary import type_library

WRITTEN_BY_THE_KIT = Path(__file__).parent / "golden" / "formulas.rdb"
"""Made with unoidl-write of LibreOffice 7.4 from the interface of tests/hosts/small.py, written out as IDL."""

ROWS = "[][]any"
ROWS_OF_TEXT = "[][]string"

Method = tuple[str, str, list[tuple[int, str, str]]]


class Reader:
    """Reads an interface from a type library, after LibreOffice's unoidl/source/unoidlprovider.cxx."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.at = 0

    def number(self) -> int:
        self.at += 4
        return int(struct.unpack_from("<I", self.data, self.at - 4)[0])

    def byte(self) -> int:
        self.at += 1
        return self.data[self.at - 1]

    def text(self) -> str:
        """A text in place, or where its length has the highest bit set the place of one written before."""
        start = self.at
        length = self.number()
        if length & 0x80000000:
            start = length & 0x7FFFFFFF
            length = int(struct.unpack_from("<I", self.data, start)[0])
        else:
            self.at += length
        return self.data[start + 4 : start + 4 + length].decode("ascii")

    def entry(self) -> str:
        """The name of the only entry of a map; goes on to what it names."""
        name, self.at = self.number(), self.number()
        return self.data[name : self.data.index(b"\0", name)].decode("ascii")

    def interface(self) -> tuple[str, list[str], list[Method]]:
        assert self.data[:8] == b"UNOIDL\xff\0"
        self.at = 8
        place, count = self.number(), self.number()
        assert count == 1
        self.at = place
        names = [self.entry()]
        while (kind := self.byte()) == 0:
            assert self.number() == 1
            names.append(self.entry())
        assert kind == 5
        bases = [self.text() for _ in range(self.number())]
        assert (self.number(), self.number()) == (0, 0), "optional bases, attributes"
        return ".".join(names), bases, [self.method() for _ in range(self.number())]

    def method(self) -> Method:
        name, result = self.text(), self.text()
        parameters = [(self.byte(), self.text(), self.text()) for _ in range(self.number())]
        assert self.number() == 0, "exceptions"
        return name, result, parameters


def test_the_interface_is_the_one_that_the_development_kit_writes() -> None:
    ours = Reader(type_library(INTERFACE, methods(small.CATALOGUE))).interface()
    assert ours == Reader(WRITTEN_BY_THE_KIT.read_bytes()).interface()
    name, bases, found = ours
    assert (name, bases) == ("stillbook.calc.XFormulas", ["com.sun.star.uno.XInterface"])
    assert found == [
        ("wider", ROWS, [(0, "width", "any"), (0, "added", "any"), (0, "typeGiven", "any"), (0, "units", "any")]),
        ("loudest", ROWS, [(0, "levels", "any")]),
        ("corners", ROWS, [(0, "length", "any"), (0, "units", "any")]),
        ("told", ROWS_OF_TEXT, [(0, "name", "any"), (0, "arguments", "[]any")]),
    ]


def test_every_formula_of_the_catalogue_is_a_method() -> None:
    _, _, found = Reader(type_library(INTERFACE, methods(formulas()))).interface()
    assert [name.upper() for name, _, _ in found] == list(formulas())
    for (name, _, parameters), entry in zip(found, formulas().values(), strict=True):
        assert len(parameters) == len(entry.arguments), name
        assert len({parameter for _, parameter, _ in parameters}) == len(parameters), name


@pytest.mark.parametrize(
    ("name", "result"),
    [("DOORMASS", ROWS), ("MATERIALS", ROWS), ("SOURCE", ROWS_OF_TEXT), ("DOORARRANGEMENT", ROWS_OF_TEXT)],
)
def test_a_formula_that_gives_text_alone_gives_rows_of_text(name: str, result: str) -> None:
    assert methods({name: formulas()[name]})[0].result == result


def test_a_name_that_would_spoil_the_library_is_refused() -> None:
    class Named:
        name = "BYTE"
        workbook_name = "STILL_BYTE"

    with pytest.raises(CatalogueError, match="STILL_BYTE"):
        methods({"BYTE": Named()})  # type: ignore[dict-item]

"""Which cells a formula looks at, directly and through other formulas, by its text alone."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Final

from stillbook.workbook.calculation.reasons import Place
from stillbook.workbook.calculation.recalculate import ALWAYS_ANEW
from stillbook.workbook.calculation.spelling import tokens_of
from stillbook.workbook.file.address import Area, read_area, split_reference
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Key

_MOST_CELLS: Final = 20_000
"""Cells of one reference that are followed; a longer one is a whole column."""

_PIECES: Final = re.compile(
    r"""
      "(?:[^"]|"")*"                                                            # a text
    | \#(?:N/A|DIV/0!|[A-Z]+[!?])                                               # an error
    | (?P<word>                                                                 # a name, a reference, a number
        (?:'(?:[^']|'')*' | \[(?:[^\[\]]|\[[^\]]*\])*\] | [^\s"'\[(),;{}+\-*/^&=<>%])+
      )
      (?P<call>\()?                                                             # of a function, where it is called
    """,
    re.VERBOSE | re.IGNORECASE,
)
"""The pieces of a formula that hold letters: reading them all alone takes a tenth of the time that its tokens take."""


def words_of(formula: str) -> Iterator[str]:
    """What may be a reference or a name in a formula: its words that are neither quoted nor called.

    >>> list(words_of("=IF(A1=1,MAX('My sheet'!C3:C9),LOG10(rate))"))
    ['A1', '1', "'My sheet'!C3:C9", 'rate']
    """
    return (piece["word"] for piece in _PIECES.finditer(formula) if piece["word"] and not piece["call"])


def calls_of(formula: str) -> Iterator[str]:
    """The functions that a formula calls, in order.

    >>> list(calls_of('=IF(A1=1,SUM(C3:INDEX(rates,2)),"NOW()")'))
    ['IF', 'SUM', 'INDEX']
    """
    return (piece["word"].rpartition(":")[2] for piece in _PIECES.finditer(formula) if piece["word"] and piece["call"])


class Precedents:
    """What the formulas of a workbook look at.

    Args:
        package: The workbook.
    """

    def __init__(self, package: Package) -> None:
        self._package = package
        self._of_sheets = {name.name.casefold() for name in package.names if name.sheet}
        self._names = {name.name.casefold(): name.cells for name in package.names if not name.sheet}
        self._texts: dict[str, dict[Key, str]] = {}
        self._areas: dict[tuple[str, str], tuple[tuple[str, Area], ...]] = {}
        """What each formula's text refers to on each sheet, once it was asked for."""
        self._words: dict[tuple[str, str], tuple[str, Area] | None] = {}
        """What each word of a formula refers to on each sheet."""

    def of(self, at: Place) -> Iterator[Place]:
        """The cells that the formula of one cell looks at; none for a cell without a formula."""
        for where, area in self._areas_of(at):
            yield from ((where, *cell) for cell in area.cells())

    def _areas_of(self, at: Place) -> tuple[tuple[str, Area], ...]:
        """The blocks of cells that the formula of one cell looks at."""
        sheet, row, column = at
        text = self._formulas(sheet).get((row, column))
        return self._referred(sheet, text) if text else ()

    def _referred(self, sheet: str, text: str) -> tuple[tuple[str, Area], ...]:
        """The references in a formula that are short enough to be followed."""
        if (sheet, text) not in self._areas:
            found = [self._block(word, sheet) for word in words_of(text)]
            self._areas[sheet, text] = tuple(
                one for one in found if one and one[1].rows * one[1].columns <= _MOST_CELLS
            )
        return self._areas[sheet, text]

    def are_all_followed(self, at: Place) -> bool:
        """Whether the text of a cell's formula tells all that it looks at, as that of an ordinary one does."""
        sheet, row, column = at
        formula = self._package.sheet(sheet).formulas.get((row, column))
        if formula is None:
            return (row, column) not in self._formulas(sheet)
        if formula.kind != "normal" or ALWAYS_ANEW.search(formula.text):
            return False
        tokens = tokens_of(formula.text)
        ranges = [token.value for token in tokens or () if (token.type, token.subtype) == ("OPERAND", "RANGE")]
        if any(text.rpartition("!")[2].casefold() in self._of_sheets for text in ranges):
            return False
        return tokens is not None and len(ranges) == len(self._referred(sheet, formula.text))

    def within(self, start: Place) -> Iterator[Place]:
        """All cells that one cell depends on, nearest first."""
        seen = {start}
        opened: set[tuple[str, Area]] = set()
        ahead = [start]
        while ahead:
            following: list[Place] = []
            for at in ahead:
                for block in self._areas_of(at):
                    if block in opened:
                        continue
                    opened.add(block)
                    for cell in block[1].cells():
                        place = (block[0], *cell)
                        if place not in seen:
                            seen.add(place)
                            following.append(place)
                            yield place
            ahead = following

    def depending_on(self, places: Collection[Place]) -> set[Place]:
        """All cells whose formula depends on one of some cells."""
        readers: dict[tuple[str, Area], list[Place]] = {}
        for sheet in self._package.sheets:
            for key in self._formulas(sheet):
                for block in self._areas_of((sheet, *key)):
                    readers.setdefault(block, []).append((sheet, *key))
        # Many formulas look at the same long block: its cells are gone through once.
        holding: dict[Place, list[tuple[str, Area]]] = {}
        for block in readers:
            for cell in block[1].cells():
                holding.setdefault((block[0], *cell), []).append(block)
        found: set[Place] = set()
        ahead = list(places)
        while ahead:
            for block in holding.get(ahead.pop(), ()):
                new = [reader for reader in readers.pop(block, ()) if reader not in found]
                found.update(new)
                ahead.extend(new)
        return found

    def _formulas(self, sheet: str) -> dict[Key, str]:
        """The text of each formula of a sheet by cell, an array's under every cell that it fills."""
        if sheet not in self._texts:
            found: dict[Key, str] = {}
            for at, formula in self._package.sheet(sheet).formulas.items():
                cells = formula.area.cells() if formula.area else (at,)
                found.update(dict.fromkeys(cells, formula.text))
            self._texts[sheet] = found
        return self._texts[sheet]

    def _block(self, word: str, home: str) -> tuple[str, Area] | None:
        """What a word of a formula refers to; read once, as most stand in many formulas."""
        if (word, home) not in self._words:
            self._words[word, home] = self._area(word, home)
        return self._words[word, home]

    def _area(self, text: str, home: str) -> tuple[str, Area] | None:
        """Sheet and cells of a reference or a name in a formula."""
        if (named := self._names.get(text.casefold())) is not None:
            sheet = self._package.find_sheet(named[0])
            return (sheet, named[1]) if sheet else None
        if (area := read_area(text)) is not None:
            return home, area
        reference = split_reference(text)
        sheet = self._package.find_sheet(reference[0]) if reference else None
        return (sheet, reference[1]) if reference and sheet else None

"""The proof of a shared copy: the file as written is searched for what it must not hold.

Three things are looked at in the bytes as they will lie on the disk:

1. its parts: only kinds of parts that a shared copy needs;
2. its cells: each must stand where the reader may look and hold what the page shows there;
3. everything else in every part (names, properties, styles, charts, pictures): no withheld value may be found in it.

Withheld is each text of the source that the reader is not shown: of cells, notes, names, properties, headers, rules,
shapes, charts, and of parts in other forms; and each number of a withheld cell. A text that the reader is shown in one
place is no secret in another. Two kinds of values are not searched for in the third step, since they stand in
every file: words and addresses that file formats use themselves (``left``, ``D10``) where the format allows only such,
and numbers of fewer than five figures (0.35, 1650). For those the second step alone speaks, and it covers every cell.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from stillbook.cells import Cell
from stillbook.share.plain_formulas import looked_at
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import place
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.markup import unescaped
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import Element, Parts, local
from stillbook.workbook.file.sheet import Key, number_text

LEAST_FIGURES: Final = 5
"""Fewer figures than these stand in every file by chance."""

LEAST_LETTERS: Final = 3
_LEAST_INSIDE: Final = 6
_LEAST_IN_PICTURE: Final = 8

_PARTS: Final = re.compile(
    r"\[Content_Types\]\.xml|_rels/\.rels|docProps/(core|custom)\.xml|xl/(workbook|styles)\.xml|xl/theme/theme1\.xml"
    r"|xl/_rels/workbook\.xml\.rels|xl/worksheets/(_rels/)?sheet\d+\.xml(\.rels)?"
    r"|xl/drawings/(_rels/)?drawing\d+\.xml(\.rels)?|xl/charts/chart\d+\.xml|xl/media/image\d+\.(png|jpeg)"
)
_FREE: Final = """
name displayName uniqueName caption descr title comment prompt promptTitle error errorTitle tooltip display location
Target author userName text formatCode codeName help description statusBar customMenu
"""
_FREE_ATTRIBUTES: Final = frozenset(_FREE.split())
"""Attributes that hold what people write; others hold words of the file format, numbers or addresses."""

_JOINED: Final = ("si", "is", "p", "comment", "text")
_NOT_TEXT: Final = ("v", "f", "r", "rPr", "sqref", "row", "col", "rowOff", "colOff")
_NUMBER: Final = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?:[eE][+-]?\d+)?(?![\w.]*\d)")
_PLAIN_WORD: Final = re.compile(r"[A-Za-z]+[0-9]?")
_WORD: Final = re.compile(r"[^\W_]+")
_OF_THE_FORMAT: Final = re.compile(r"[A-Za-z]+[0-9]?|rid\d+|[a-z]{1,3}\d{1,7}(:[a-z]{1,3}\d{1,7})?", re.IGNORECASE)
"""What attributes that people do not write hold: words, relationship ids, addresses of cells."""

_WRITTEN_HERE: Final = frozenset(("theme", "normal", "_xlnm.print_area", "_xlnm.print_titles"))


def withheld_texts(source: Parts, shown: Iterable[str]) -> set[str]:
    """Every text of a workbook that a reader is not shown, in the form in which it is searched for.

    Args:
        source: The workbook.
        shown: The texts that the reader is shown.
    """
    found: set[str] = set()
    for name in source.names:
        if name == "[Content_Types].xml":
            continue
        data = source.read(name)
        if name.endswith((".xml", ".rels", ".vml")):
            root = _tree(source, name)
            found |= set(_texts(root)) if root is not None else set(_words(data))
        elif not name.lower().endswith((".png", ".jpeg", ".jpg", ".gif", ".bmp", ".tiff", ".emf", ".wmf")):
            found |= set(_words(data))
    kept = {spaced(unescaped(text)) for text in found} - _as_compared(shown)
    return {text for text in kept if _can_be_told(text)}


def _can_be_told(text: str) -> bool:
    """Whether a text can be told from chance: three signs with a letter, or five figures that are no plain number."""
    if len(text) >= LEAST_LETTERS and any(sign.isalpha() for sign in text):
        return True
    return sum(sign.isdigit() for sign in text) >= LEAST_FIGURES and not _NUMBER.fullmatch(text.lstrip("+-"))


def withheld_numbers(package: Package, shown: Mapping[str, Mapping[Key, Cell]]) -> set[float]:
    """The numbers of the cells that a reader is not shown, where they have figures enough to be told from any other."""
    seen = {value for cells in shown.values() for value in cells.values() if _is_number(value)}
    found = set()
    for sheet in package.sheets:
        for at, (kind, text) in package.sheet(sheet).stored.items():
            if kind == "n" and at not in shown.get(sheet, {}):
                try:
                    number = abs(float(text))
                except ValueError:
                    continue
                if number not in seen and figures(number) >= LEAST_FIGURES:
                    found.add(number)
    # A shown number is cut to the figures of its format; the whole one is withheld all the same.
    for sheet, cells in shown.items():
        for at in cells:
            value = package.value(sheet, *at)
            if _is_number(value) and value not in seen and figures(abs(float(value))) >= LEAST_FIGURES:  # type: ignore[arg-type]
                found.add(abs(float(value)))  # type: ignore[arg-type]
    return found


def figures(number: float) -> int:
    """How many figures of a number carry meaning: zeros before and after them do not.

    >>> figures(0.35), figures(1650.0), figures(11053.48)
    (2, 3, 7)
    """
    mantissa = number_text(number).partition("e")[0].replace(".", "").lstrip("-")
    return len(mantissa.strip("0"))


def prove(
    data: bytes,
    *,
    values: Mapping[str, Mapping[Key, Cell]],
    formulas: Mapping[str, Mapping[Key, str]],
    may_look: Mapping[str, object],
    shown: Iterable[str],
    texts: Iterable[str],
    numbers: Iterable[float],
) -> None:
    """Search a shared copy as written, and refuse it if it holds what it must not.

    Args:
        data: The bytes of the file.
        values: What each cell may hold, by sheet; cells with formulas apart.
        formulas: The formulas that may stand in it.
        may_look: The sheets that its formulas may look at.
        shown: The texts that stand in it by intention.
        texts: The texts to search for.
        numbers: The numbers to search for.

    Raises:
        WorkbookError: If it holds a withheld value; the message says in which part.
    """
    parts = Parts(Archive(data))
    for name in parts.names:
        if not _PARTS.fullmatch(name):
            raise _leak(f"it would hold the part {name}")
    written = Package(data)
    for sheet in written.sheets:
        _prove_cells(written, sheet, values.get(sheet, {}), formulas.get(sheet, {}), may_look)
    seen = _as_compared(shown) | _WRITTEN_HERE
    searched = _Search(set(texts) - seen, set(numbers))
    for name in parts.names:
        data = parts.read(name)
        if name.endswith((".xml", ".rels")):
            searched.part(name, parts.tree(name), seen)
        else:
            searched.picture(name, data)


def _prove_cells(
    written: Package,
    sheet: str,
    values: Mapping[Key, Cell],
    formulas: Mapping[Key, str],
    may_look: Mapping[str, object],
) -> None:
    part = written.sheet(sheet)
    for at in part.stored:
        value = written.value(sheet, *at)
        if at in formulas:
            continue
        if at not in values or values[at] != value:
            raise _leak(f"{place(sheet, *at)} would hold what is not shown there")
    for at, formula in part.formulas.items():
        references = looked_at(formula.text, sheet)
        if (
            formulas.get(at) != formula.text
            or references is None
            or any(name not in may_look for name, _ in references)
        ):
            raise _leak(f"{place(sheet, *at)} would hold a formula that looks at what is not shown")


class _Search:
    """A search for withheld values outside of cells."""

    def __init__(self, texts: set[str], numbers: set[float]) -> None:
        self.texts = texts
        inside = sorted(text for text in texts if len(text) >= _LEAST_INSIDE and not _PLAIN_WORD.fullmatch(text))
        self.by_word: dict[str, list[str]] = {}
        for text in inside:
            self.by_word.setdefault(_WORD.findall(text)[0], []).append(text)
        self.in_picture = [text for text in sorted(texts) if len(text) >= _LEAST_IN_PICTURE]
        self.numbers = numbers

    def part(self, name: str, root: Element, seen: set[str]) -> None:
        """Search an XML part: each of its texts and attributes that is not shown by intention."""
        fragments: set[str] = set()
        for text, is_free in _fragments(root):
            plain = spaced(unescaped(text))
            if plain in seen or not plain:
                continue
            fragments.add(plain)
            if plain in self.texts and (is_free or not _OF_THE_FORMAT.fullmatch(plain)):
                raise _leak(f'"{plain[:60]}" was found in {name}')
        whole = "\n".join(sorted(fragments))
        found = set(_WORD.findall(whole)) & self.by_word.keys()
        for text in (text for word in sorted(found) for text in self.by_word[word]):
            at = whole.find(text)
            while at >= 0:
                before, after = whole[at - 1 : at], whole[at + len(text) : at + len(text) + 1]
                line = whole[whole.rfind("\n", 0, at) + 1 :].partition("\n")[0]
                if not (before.isalnum() or after.isalnum()):
                    raise _leak(f'"{text[:60]}" was found in "{line[:60]}" in {name}')
                at = whole.find(text, at + 1)
        if self.numbers:
            for match in _NUMBER.finditer(whole):
                if float(match[0]) in self.numbers:
                    raise _leak(f"the number {match[0]} was found in {name}")

    def picture(self, name: str, data: bytes) -> None:
        """Search the bytes of a picture, in the two codings that programs write text in."""
        readable = "\n".join(spaced(words) for words in _words(data))
        lower = data.lower()
        for text in self.in_picture:
            if text in readable if text.isascii() else text.encode() in lower or text.encode("utf-16-le") in data:
                raise _leak(f'"{text[:60]}" was found in {name}')


def _as_compared(shown: Iterable[str]) -> set[str]:
    """The texts that are shown, those among them that come from a part with its escapes read, too."""
    return {spaced(form) for text in shown for form in (text, unescaped(text))}


def spaced(text: str) -> str:
    """A text in the form in which texts are compared: one space between words, no capitals."""
    return " ".join(text.split()).casefold()


def _leak(what: str) -> WorkbookError:
    return WorkbookError(f"nothing was written, since the copy would not be safe to give away: {what}")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _tree(source: Parts, name: str) -> Element:
    try:
        return source.tree(name)
    except WorkbookError:
        return None


def _texts(root: Element) -> Iterator[str]:
    """What people wrote in a part: its texts, joined where a format splits them, and its free attributes."""
    for element in root.iter():
        kind = local(element)
        if kind in _JOINED:
            yield "".join(element.itertext())
        text = element.text or ""
        if text.strip() and (kind not in _NOT_TEXT or (kind in ("v", "f") and not _NUMBER.fullmatch(text.lstrip("-")))):
            yield text
        inside = kind == "Relationship" and element.get("TargetMode") != "External"
        for name, value in element.attrib.items():
            if name in _FREE_ATTRIBUTES and not (name == "name" and kind in _NAMED_BY_FORMAT) and not inside:
                yield value


_NAMED_BY_FORMAT: Final = frozenset(("clrScheme", "fontScheme", "fmtScheme", "theme", "cellStyle", "tableStyle"))


def _fragments(root: Element) -> Iterator[tuple[str, bool]]:
    """Every text and attribute of a part, with whether people write such ones; values of cells are proved elsewhere."""
    in_cells = local(root) == "worksheet"
    for element in root.iter():
        kind = local(element)
        if in_cells and kind in ("v", "f"):
            continue
        if kind in _JOINED:
            yield "".join(element.itertext()), True
        if element.text and element.text.strip():
            yield element.text, True
        if element.tail and element.tail.strip():
            yield element.tail, True
        for name, value in element.attrib.items():
            yield value, str(name) in _FREE_ATTRIBUTES


def _words(data: bytes) -> Iterator[str]:
    """Runs of readable letters in a part of unknown form."""
    for found in re.findall(rb"[\x20-\x7e]{6,}", data):
        yield found.decode("ascii")
    for found in re.findall(rb"(?:[\x20-\x7e]\x00){6,}", data):
        yield found.decode("utf-16-le")

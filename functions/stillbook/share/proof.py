"""The proof of a shared copy: the file as written is searched for what it must not hold.

Three things are looked at in the bytes as they will lie on the disk:

1. its parts: only kinds of parts that a shared copy needs;
2. its cells: each must stand where the page is seen, look like something that can be read, hold what the page shows
   there and no digit more than its number format shows, and its formulas and formats must write out nothing else;
3. everything else in every part (names, properties, styles, charts, pictures): no withheld value may be found in it.

Withheld is each text and number of the source that the reader is not shown: of cells, notes, names, properties,
headers, rules, shapes, charts, of formulas and number formats, and of parts in other forms. Shown, and so no secret, is
what the page displays: the texts of shown cells, and the labels on it. What was copied for another reason (formats,
formulas, addresses) is searched like the rest. Two kinds of values are not searched for in the third step, since they
stand in every file: words and addresses that file formats use themselves (``left``, ``D10``) where the format allows
only such, and numbers of fewer than five figures (0.35, 1650). For those the second step alone speaks, and it covers
every cell.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from stillbook.cells import Cell
from stillbook.share.colours import Palette
from stillbook.share.displayed import face, words_of
from stillbook.share.looks import Look, looks
from stillbook.share.plain_formulas import looked_at, numbers_in, spaced, texts_in
from stillbook.share.runs import runs_of
from stillbook.share.shown import Shown, measure
from stillbook.share.signs import seen_signs
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import LAST_COLUMN, LAST_ROW, Area, place, split_reference
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.markup import unescaped
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import MAIN, Element, Parts, local
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
_FORMULAS: Final = (
    "f",
    "formula",
    "formula1",
    "formula2",
    "definedName",
    "calculatedColumnFormula",
    "totalsRowFormula",
)
_HEADERS: Final = ("oddHeader", "oddFooter", "evenHeader", "evenFooter", "firstHeader", "firstFooter")
_HEADER_CODE: Final = re.compile(r'&"[^"]*"|&K[0-9A-Fa-f]{6}|&K\d\d[+-]\d{3}|&\d{1,3}|&[A-Za-z+-]')
_NOT_TEXT: Final = ("r", "rPr", "sqref", "row", "col", "rowOff", "colOff")
_NUMBER: Final = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?:[eE][+-]?\d+)?(?![\w.]*\d)")
_PLAIN_WORD: Final = re.compile(r"[A-Za-z]+[0-9]?")
_WORD: Final = re.compile(r"[^\W_]+")
_ADDRESS: Final = re.compile(r"rid\w+|[a-z]{1,3}\d{1,7}(:[a-z]{1,3}\d{1,7})?", re.IGNORECASE)
_FORMAT_WORDS: Final = """
normal theme calibri cambria arial none solid thin thick medium hair dashed dotted double left right center top bottom
justify distributed fill general centercontinuous portrait landscape default frozen split bottomleft bottomright
topleft topright downthenover overthendown minor major single true false expression cellis colorscale databar iconset
duplicatevalues uniquevalues min max percent percentile equal notequal greaterthan lessthan between notbetween
greaterthanorequal lessthanorequal whole decimal list date time textlength custom stop warning information inlinestr
str png jpeg xml rels rid worksheet styles drawing chart image hyperlink external twocell onecell absolute rect line
ellipse roundrect square clip overflow ctr t b l r tx bg accent dk lt hlink col bar standard clustered stacked
linemarker marker circle diamond triangle plus star nextto low high autozero minmax zero gap span edge inner outer
factor cross in out solidfill horz vert auto client contractor gray125 frame lightgray mediumgray darkgray dash
sysdash sysdot
"""
_VOCABULARY: Final = frozenset(_FORMAT_WORDS.split())
"""Words of the file format, of attributes that hold no others."""

_DRAWN_HERE: Final = re.compile(r"(chart|picture|shape|line) \d+")
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
    kept = {spaced(unescaped(text)) for text in found} - as_compared(shown)
    return {text for text in kept if _can_be_told(text)}


def _can_be_told(text: str) -> bool:
    """Whether a text can be told from chance: three signs with a letter, or five figures that are no plain number."""
    if len(text) >= LEAST_LETTERS and any(sign.isalpha() for sign in text):
        return True
    return sum(sign.isdigit() for sign in text) >= LEAST_FIGURES and not _NUMBER.fullmatch(text.lstrip("+-"))


def withheld_numbers(package: Package, source: Parts, shown: Mapping[str, Mapping[Key, Cell]]) -> set[float]:
    """The numbers that a reader is not shown, of cells and of formulas, where they have figures enough to be told.

    Args:
        package: The workbook, calculated.
        source: Its parts.
        shown: The values that the reader is shown, by sheet and cell.
    """
    seen = {abs(value) for cells in shown.values() for value in cells.values() if _is_number(value)}  # type: ignore[arg-type]
    found: set[float] = set()
    for sheet in package.sheets:
        # A shown number is rounded to the figures of its format; the whole one is withheld all the same.
        for kind, text in package.sheet(sheet).stored.values():
            if kind == "n":
                try:
                    found.add(abs(float(text)))
                except ValueError:
                    continue
    for name in source.names:
        if name.endswith(".xml") and (root := _tree(source, name)) is not None:
            for element in root.iter():
                kind = local(element)
                if kind in _FORMULAS:
                    found.update(map(abs, numbers_in(element.text or "")))
                elif kind == "v" and local(root) != "worksheet" and _NUMBER.fullmatch((element.text or "").lstrip("-")):
                    found.add(abs(float(element.text)))
    return {number for number in found if number not in seen and figures(number) >= LEAST_FIGURES}


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
    labels: Iterable[str],
    points: Mapping[str, Sequence[str]],
    texts: Iterable[str],
    numbers: Iterable[float],
) -> None:
    """Search a shared copy as written, and refuse it if it holds what it must not.

    Args:
        data: The bytes of the file.
        values: What each cell may hold, by sheet; cells with formulas apart.
        formulas: The formulas that may stand in it.
        labels: The texts that the page shows outside of its cells, and the words that number formats add.
        points: The figures that charts may hold of points on no shown sheet, by the part of the chart, in its order.
        texts: The texts to search for.
        numbers: The numbers to search for.

    Raises:
        WorkbookError: If it holds a withheld value; the message says in which part.
    """
    parts = Parts(Archive(data))
    for name in parts.names:
        if not _PARTS.fullmatch(name):
            raise _leak(f"it would hold the part {name}")
    labels = set(labels)
    displayed = as_compared(
        [*labels, *(value for cells in values.values() for value in cells.values() if isinstance(value, str))]
    )
    _Cells(data, parts, displayed).prove(values, formulas)
    searched = _Search(set(texts) - displayed, set(numbers))
    for name in parts.names:
        data = parts.read(name)
        if name.endswith((".xml", ".rels")):
            root = parts.tree(name)
            if local(root) == "chartSpace":
                _prove_chart(name, root, values, points.get(name, ()))
            searched.part(name, root, displayed | _WRITTEN_HERE)
        else:
            searched.picture(name, data)


def _prove_chart(name: str, root: Element, sheets: Iterable[str], points: Sequence[str]) -> None:
    """Raise where a chart looks at a sheet that is not in the copy, or holds other figures than it may.

    The figures that it may hold are then taken out of the tree, so that they are not searched again.
    """
    known = {sheet.casefold() for sheet in sheets}
    for link in (element for element in root.iter() if local(element) == "f"):
        reference = split_reference(link.text or "")
        if reference is None or reference[0].casefold() not in known:
            raise _leak(f"{name} would look at what is not shown")
    given = [element for element in root.iter() if local(element) == "numLit"]
    figures_held = [v for element in given for v in element.iter() if local(v) == "v"]
    if [v.text for v in figures_held] != list(points):
        raise _leak(f"{name} would hold figures that are not shown")
    for v in figures_held:
        v.text = None


class _Cells:
    """Looks at the cells of a copy as a reader's program would."""

    def __init__(self, data: bytes, parts: Parts, displayed: set[str]) -> None:
        self.parts = parts
        self.written = Package(data)
        self.displayed = frozenset(displayed)
        styles = parts.tree("xl/styles.xml")
        self.palette = Palette(parts.tree("xl/theme/theme1.xml"), styles)
        self.looks = looks(styles, self.palette)

    def prove(self, values: Mapping[str, Mapping[Key, Cell]], formulas: Mapping[str, Mapping[Key, str]]) -> None:
        """Raise where a cell holds what is not shown there."""
        for sheet in self.parts.tree("xl/workbook.xml").iter(f"{{{MAIN}}}sheet"):
            if sheet.get("state") is not None:
                raise _leak(f"it would hold the hidden sheet {sheet.get('name')}")
        where = self.parts.sheets()
        for sheet in self.written.sheets:
            view = Shown(sheet, where[sheet], (Area(1, 1, LAST_ROW, LAST_COLUMN),))
            measure(view, self.parts.tree(where[sheet]))
            runs = runs_of(self.parts, [], view)
            for at in self.written.sheet(sheet).stored:
                style = view.styles.get(at, 0)
                look = self.looks[style] if style < len(self.looks) else self.looks[0]
                held = values.get(sheet, {})
                if at not in formulas.get(sheet, {}):
                    value = self.written.value(sheet, *at)
                    seen = all(run.is_seen(look, self.palette) for run in runs[at]) if at in runs else look.shows()
                    if at not in held or held[at] != value or not self._is_all_shown(value, look):
                        raise _leak(f"{place(sheet, *at)} would hold what is not shown there")
                    if isinstance(value, str) and seen_signs(value) != value:
                        raise _leak(f"{place(sheet, *at)} would hold signs that no page shows")
                    if not view.shows(*at) or (value != "" and not seen):
                        raise _leak(f"{place(sheet, *at)} would hold what cannot be seen")
                if not all(spaced(word) in self.displayed for word in words_of(look.code)):
                    raise _leak(f"the number format of {place(sheet, *at)} would say what is not shown")
            for at, formula in self.written.sheet(sheet).formulas.items():
                references = looked_at(formula.text, sheet, self.displayed)
                known = {name.casefold() for name in self.written.sheets}
                if (
                    formulas.get(sheet, {}).get(at) != formula.text
                    or references is None
                    or any(name.casefold() not in known for name, _ in references)
                ):
                    raise _leak(f"{place(sheet, *at)} would hold a formula that looks at what is not shown")

    def _is_all_shown(self, value: Cell, look: Look) -> bool:
        """Whether a number has no more digits than its format shows."""
        return not _is_number(value) or face(value, look.code, starts_1904=self.written.starts_1904).value == value


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
            if seen_signs(unescaped(text)) != unescaped(text):
                raise _leak(f"{name} would hold signs that no page shows")
            if plain in seen or not plain or _DRAWN_HERE.fullmatch(plain):
                continue
            fragments.add(plain)
            of_the_format = plain.rstrip("0123456789") in _VOCABULARY or _ADDRESS.fullmatch(plain)
            if plain in self.texts and (is_free or not of_the_format):
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


def as_compared(shown: Iterable[str]) -> set[str]:
    """The texts that are shown, those among them that come from a part with its escapes read, too."""
    return {spaced(form) for text in shown for form in (text, unescaped(text))}


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
        if kind in _FORMULAS or kind in _HEADERS:
            yield from _said(kind, text)
        elif kind == "formatCode":
            yield from words_of(text)
        elif text.strip() and kind not in _NOT_TEXT and (kind != "v" or not _NUMBER.fullmatch(text.lstrip("-"))):
            yield text
        inside = kind == "Relationship" and element.get("TargetMode") != "External"
        for name, value in element.attrib.items():
            if name == "formatCode":
                yield from words_of(value)
            elif name in _FREE_ATTRIBUTES and not (name == "name" and kind in _NAMED_BY_FORMAT) and not inside:
                yield value


def _said(kind: str, text: str) -> Iterator[str]:
    """What a formula, a header or a number format says in words and numbers."""
    if kind in _HEADERS:
        yield from (piece for piece in _HEADER_CODE.split(text) if piece.strip())
    else:
        for said in texts_in(text):
            yield said
            yield from said.split(",") if kind == "formula1" and "," in said else ()
        yield from (number_text(number) for number in numbers_in(text))


_NAMED_BY_FORMAT: Final = frozenset(("clrScheme", "fontScheme", "fmtScheme", "theme", "cellStyle", "tableStyle"))


def _fragments(root: Element) -> Iterator[tuple[str, bool]]:
    """Every text and attribute of a part, with whether people write such ones; values of cells are proved elsewhere."""
    in_cells = local(root) == "worksheet"
    for element in root.iter():
        kind = local(element)
        if in_cells and kind == "v":
            continue
        if kind in _FORMULAS or kind in _HEADERS:
            yield from ((said, True) for said in _said(kind, element.text or ""))
        elif kind == "formatCode":
            yield from _of_format(element.text or "")
        elif kind in _JOINED:
            yield "".join(element.itertext()), True
        elif element.text and element.text.strip():
            yield element.text, True
        if element.tail and element.tail.strip():
            yield element.tail, True
        for name, value in element.attrib.items():
            if name == "formatCode":
                yield from _of_format(value)
            else:
                yield value, str(name) in _FREE_ATTRIBUTES


def _of_format(code: str) -> Iterator[tuple[str, bool]]:
    """What a number format adds in words, and all of it where it holds figures."""
    yield from ((word, True) for word in words_of(code))
    if any(sign in "123456789" for sign in code):
        yield code, False


def _words(data: bytes) -> Iterator[str]:
    """Runs of readable letters in a part of unknown form."""
    for found in re.findall(rb"[\x20-\x7e]{6,}", data):
        yield found.decode("ascii")
    for found in re.findall(rb"(?:[\x20-\x7e]\x00){6,}", data):
        yield found.decode("utf-16-le")

"""The styles and colours of a shared copy, written anew: those that its cells use, and no more than they need."""

from __future__ import annotations

from typing import Final

from lxml import etree

from stillbook.share.colours import Palette
from stillbook.share.looks import PATTERNS, format_codes, members
from stillbook.share.marks import put_colour
from stillbook.workbook.file.markup import decimal, whole
from stillbook.workbook.file.parts import DRAWING, MAIN, Element, local

M: Final = f"{{{MAIN}}}"
A: Final = f"{{{DRAWING}}}"
_FIRST_OWN_FORMAT: Final = 164
_SWITCHES: Final = ("b", "i", "strike", "condense", "extend", "outline", "shadow")
_WORDS: Final = ("u", "vertAlign", "scheme")
_NUMBERS: Final = ("sz", "family", "charset")
_ALIGNED: Final = (
    "horizontal", "vertical", "textRotation", "wrapText", "indent", "relativeIndent", "justifyLastLine", "shrinkToFit",
    "readingOrder",
)  # fmt: skip
_SIDES: Final = ("start", "end", "left", "right", "top", "bottom", "diagonal", "vertical", "horizontal")
_GRADIENT: Final = ("type", "degree", "left", "right", "top", "bottom")
_LOOK_WORDS: Final = """
true false none general left center right fill justify centerContinuous distributed top bottom single double
singleAccounting doubleAccounting baseline superscript subscript major minor linear path
"""
_LOOKS: Final = frozenset(_LOOK_WORDS.split())
_LINE_WORDS: Final = """
none thin medium thick double hair dashed dotted mediumDashed dashDot mediumDashDot dashDotDot mediumDashDotDot
slantDashDot
"""
_LINES: Final = frozenset(_LINE_WORDS.split())
_PATTERNS: Final = frozenset(("none", "solid", *PATTERNS))
"""The words that the file format has for looks: any other is no look."""

_MOST: Final = 409
"""No size, angle or indent is more."""

_LONGEST_NAME: Final = 31
_USUAL_FACE: Final = "Calibri"


class CopiedStyles:
    """The styles of a copy, each noted when it is first used.

    Args:
        source: The tree of the source's styles.
        palette: Its colours.
    """

    def __init__(self, source: Element, palette: Palette) -> None:
        self.palette = palette
        self.faces: set[str] = set()
        """The names of typefaces in it."""
        self._source = source
        self._codes = format_codes(source)
        self._styles = members(source, "cellXfs", "xf") or [etree.Element(f"{M}xf")]
        self._marks = members(source, "dxfs", "dxf")
        self._given = {kind: members(source, f"{kind}s", kind) for kind in ("font", "fill", "border")}
        self._lists: dict[str, list[bytes]] = {kind: [] for kind in ("font", "fill", "border", "cellXf", "dxf")}
        self._formats: dict[str, int] = {}
        self._made_cells: dict[tuple[int, str], int] = {}
        self._made_marks: dict[int, int] = {}
        first = self._given["font"][0] if self._given["font"] else etree.Element(f"{M}font")
        self._member("font", self.font(first))
        for kind in ("none", "gray125"):
            fill = etree.Element(f"{M}fill")
            etree.SubElement(fill, f"{M}patternFill", patternType=kind)
            self._member("fill", fill)
        self._member("border", etree.Element(f"{M}border"))
        self.cell(0, "General")

    def cell(self, number: int, code: str) -> int:
        """The style in the copy for a cell style of the source, with a number format of the copy."""
        if (number, code) not in self._made_cells:
            self._made_cells[number, code] = self._member("cellXf", self._cell(number, code))
        return self._made_cells[number, code]

    def _cell(self, number: int, code: str) -> Element:
        style = self._styles[number] if 0 <= number < len(self._styles) else self._styles[0]
        made = etree.Element(f"{M}xf", numFmtId=str(self._format(code)))
        for kind in ("font", "fill", "border"):
            given = self._given[kind]
            place = whole(style.get(f"{kind}Id"))
            element = given[place] if 0 <= place < len(given) else None
            written = {"font": self.font, "fill": self._fill, "border": self._border}[kind]
            made.set(f"{kind}Id", str(self._member(kind, written(element)) if element is not None else 0))
        made.set("xfId", "0")
        for name in ("applyNumberFormat", "applyFont", "applyFill", "applyBorder", "applyAlignment", "applyProtection"):
            made.set(name, "1")
        if (alignment := style.find(f"{M}alignment")) is not None:
            kept = etree.SubElement(made, f"{M}alignment")
            for name in _ALIGNED:
                if (given_text := alignment.get(name)) is not None and _is_setting(given_text):
                    kept.set(name, given_text)
        if (protection := style.find(f"{M}protection")) is not None:
            kept = etree.SubElement(made, f"{M}protection")
            for name in ("locked", "hidden"):
                if protection.get(name) in ("0", "1", "true", "false"):
                    kept.set(name, protection.get(name))
        return made

    def stamp(self) -> int:
        """The style in which the stamp is written: small, wrapped text in the usual face."""
        font = etree.Element(f"{M}font")
        etree.SubElement(font, f"{M}sz").set("val", "9")
        first = self._given["font"][0].find(f"{M}name") if self._given["font"] else None
        self._face(font, "name", first)
        made = etree.Element(f"{M}xf", numFmtId="0", fontId=str(self._member("font", font)), fillId="0", borderId="0")
        made.set("xfId", "0")
        made.set("applyFont", "1")
        made.set("applyAlignment", "1")
        etree.SubElement(made, f"{M}alignment", horizontal="left", vertical="top", wrapText="1")
        return self._member("cellXf", made)

    def mark(self, number: int) -> int | None:
        """The number in the copy of a conditional style; None where the source has none."""
        if not 0 <= number < len(self._marks):
            return None
        if number not in self._made_marks:
            source = self._marks[number]
            made = etree.Element(f"{M}dxf")
            for kind, written in (("font", self.font), ("fill", self._fill), ("border", self._border)):
                if (element := source.find(f"{M}{kind}")) is not None:
                    made.append(written(element))
            self._made_marks[number] = self._member("dxf", made)
        return self._made_marks[number]

    def root(self) -> Element:
        """The tree of the copy's styles."""
        root = etree.Element(f"{M}styleSheet", nsmap={None: MAIN})
        if self._formats:
            holder = etree.SubElement(root, f"{M}numFmts", count=str(len(self._formats)))
            for code, number in self._formats.items():
                etree.SubElement(holder, f"{M}numFmt", numFmtId=str(number), formatCode=code)
        for kind in ("font", "fill", "border"):
            self._list(root, f"{kind}s", kind)
        holder = etree.SubElement(root, f"{M}cellStyleXfs", count="1")
        etree.SubElement(holder, f"{M}xf", numFmtId="0", fontId="0", fillId="0", borderId="0")
        self._list(root, "cellXfs", "cellXf")
        holder = etree.SubElement(root, f"{M}cellStyles", count="1")
        etree.SubElement(holder, f"{M}cellStyle", name="Normal", xfId="0", builtinId="0")
        self._list(root, "dxfs", "dxf")
        return root

    def _list(self, root: Element, group: str, kind: str) -> None:
        entries = self._lists[kind]
        holder = etree.SubElement(root, f"{M}{group}", count=str(len(entries)))
        holder.extend(etree.fromstring(entry) for entry in entries)

    def _member(self, kind: str, element: Element) -> int:
        """The number of an entry of a list; one that is there already is not written twice."""
        text = etree.tostring(element, method="c14n")
        entries = self._lists[kind]
        if text not in entries:
            entries.append(text)
        return entries.index(text)

    def _format(self, code: str) -> int:
        known = next(
            (number for number, own in self._codes.items() if own == code and number < _FIRST_OWN_FORMAT), None
        )
        if code in ("General", ""):
            return 0
        if known is not None:
            return known
        return self._formats.setdefault(code, _FIRST_OWN_FORMAT + len(self._formats))

    # --- single looks -------------------------------------------------------------------------------------------------

    def font(self, source: Element, kind: str = "font") -> Element:
        """A font, or the look of a run of text, without what is no look."""
        made = etree.Element(f"{M}{kind}")
        for child in source:
            name, given = local(child), child.get("val", "")
            if name in _SWITCHES:
                etree.SubElement(made, child.tag).set("val", "0" if given in ("0", "false") else "1")
            elif name in _WORDS:
                entry = etree.SubElement(made, child.tag)
                if given in _LOOKS:
                    entry.set("val", given)
            elif name in _NUMBERS and _is_setting(given):
                etree.SubElement(made, child.tag).set("val", given)
            elif name == "color":
                self._colour(made, child)
            elif name in ("name", "rFont"):
                self._face(made, name, child)
        return made

    def _face(self, made: Element, name: str, source: Element) -> None:
        given = source.get("val", "") if source is not None else _USUAL_FACE
        face = given if is_face(given) else _USUAL_FACE
        self.faces.add(face)
        etree.SubElement(made, f"{M}{name}").set("val", face)

    def _colour(self, holder: Element, source: Element) -> None:
        made = etree.SubElement(holder, source.tag)
        if self.palette.has_own_numbers and source.get("indexed") is not None:
            made.set("rgb", f"FF{self.palette.colour(source, '000000')}")
        else:
            put_colour(made, source)

    def _fill(self, source: Element) -> Element:
        made = etree.Element(f"{M}fill")
        for child in source:
            kept = etree.SubElement(made, child.tag)
            if local(child) == "patternFill":
                if child.get("patternType") in _PATTERNS:
                    kept.set("patternType", child.get("patternType"))
                for colour in child:
                    if local(colour) in ("fgColor", "bgColor"):
                        self._colour(kept, colour)
            elif local(child) == "gradientFill":
                for name in _GRADIENT:
                    if child.get(name, "").replace(".", "", 1).isalnum():
                        kept.set(name, child.get(name))
                for stop in child.iterfind(f"{M}stop"):
                    place = etree.SubElement(kept, stop.tag, position=str(decimal(stop.get("position"), 0)))
                    for colour in stop.iterfind(f"{M}color"):
                        self._colour(place, colour)
        return made

    def _border(self, source: Element) -> Element:
        made = etree.Element(f"{M}border")
        for name in ("diagonalUp", "diagonalDown", "outline"):
            if source.get(name) in ("0", "1", "true", "false"):
                made.set(name, source.get(name))
        for child in source:
            if local(child) in _SIDES:
                side = etree.SubElement(made, child.tag)
                if child.get("style") in _LINES:
                    side.set("style", child.get("style"))
                for colour in child.iterfind(f"{M}color"):
                    self._colour(side, colour)
        return made


def _is_setting(text: str) -> bool:
    """Whether a text is one of the words for looks, or a number as looks have it."""
    digits = text.lstrip("-").replace(".", "", 1)
    return text in _LOOKS or (digits.isascii() and digits.isdigit() and abs(float(text)) <= _MOST)


def is_face(name: str) -> bool:
    """Whether a text looks like the name of a typeface: a few words of letters.

    >>> is_face("Liberation Sans"), is_face("margin 35%")
    (True, False)
    """
    return 0 < len(name) <= _LONGEST_NAME and all(sign.isalpha() or sign in " -" for sign in name)


def bare_theme(palette: Palette, source: Element, faces: set[str]) -> Element:
    """A theme with the colours and typefaces of another, and nothing else of it.

    Args:
        palette: The colours.
        source: The tree of the other theme; None without one.
        faces: Takes the names of its typefaces.
    """
    from openpyxl.writer.theme import theme_xml

    theme = etree.fromstring(theme_xml.encode())
    theme.set("name", "Theme")
    for kind in ("clrScheme", "fontScheme", "fmtScheme"):
        theme.find(f".//{A}{kind}").set("name", "Theme")
    for name, colour in palette.scheme.items():
        entry = theme.find(f".//{A}clrScheme/{A}{name}")
        for child in list(entry):
            entry.remove(child)
        etree.SubElement(entry, f"{A}srgbClr", val=colour)
    for kind in ("majorFont", "minorFont"):
        holder = theme.find(f".//{A}{kind}")
        for script in holder.findall(f"{A}font"):
            holder.remove(script)
        latin = source.find(f".//{A}{kind}/{A}latin") if source is not None else None
        face = latin.get("typeface", "") if latin is not None else ""
        if is_face(face):
            holder.find(f"{A}latin").set("typeface", face)
            faces.add(face)
    for kind in ("objectDefaults", "extraClrSchemeLst", "extLst"):
        for element in theme.findall(f"{A}{kind}"):
            theme.remove(element)
    return theme

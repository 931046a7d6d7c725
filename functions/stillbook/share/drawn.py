"""Shapes and the looks of charts, written anew by a list of what a drawing may hold; and whether their text is seen."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from lxml import etree

from stillbook.share.colours import WHITE, Palette, can_be_read
from stillbook.share.looks import LEAST_SIZE
from stillbook.share.signs import seen_signs
from stillbook.share.styles import is_face
from stillbook.workbook.file.markup import decimal
from stillbook.workbook.file.parts import CHART, DRAWING, SHEET_DRAWING, Element, local

A: Final = f"{{{DRAWING}}}"
C: Final = f"{{{CHART}}}"
D: Final = f"{{{SHEET_DRAWING}}}"

_ELEMENT_NAMES: Final = """
prstGeom avLst gd xfrm off ext solidFill noFill gradFill gsLst gs lin srgbClr schemeClr sysClr prstClr lumMod lumOff
tint shade alpha satMod ln prstDash round bevel miter headEnd tailEnd bodyPr normAutofit spAutoFit noAutofit lstStyle
p pPr lnSpc spcBef spcAft spcPct spcPts buNone r br rPr t endParaRPr defRPr latin sp cxnSp nvSpPr cNvSpPr nvCxnSpPr
cNvCxnSpPr spPr style lnRef fillRef effectRef fontRef txBody
"""
_ELEMENTS: Final = frozenset(_ELEMENT_NAMES.split())
_ATTRIBUTE_NAMES: Final = """
prst x y cx cy rot flipH flipV val lastClr pos ang scaled w cap cmpd algn type len wrap lIns tIns rIns bIns anchor
anchorCtr vert vertOverflow horzOverflow rtlCol upright numCol spcCol fontScale lnSpcReduction lvl marL marR indent
rtl sz b i u strike baseline cap idx txBox name fmla
"""
_ATTRIBUTES: Final = frozenset(_ATTRIBUTE_NAMES.split())
_VALUE: Final = re.compile(r"[A-Za-z0-9.%+-]{1,24}")
_ADJUSTED: Final = re.compile(r"val -?\d{1,9}")
_GUIDE: Final = re.compile(r"adj\d?|hf|vf")
_FAR: Final = {
    **dict.fromkeys(("lIns", "tIns", "rIns", "bIns", "marL", "marR", "indent"), 500_000),
    "baseline": 50_000,
    "spc": 2_000,
}
"""How far, in drawing units or in thousandths, a text may be moved in its shape."""

_IN_TEXT: Final = re.compile("(r|fld)/p/(txBody|rich)")
_MOST_SPACE, _MOST_SPACING = 7_200, 300_000
_USUAL_SIZE: Final = 11.0
_PER_CELL: Final = 30
"""Twice as many letters as a cell of usual size holds."""


def copied(source: Element) -> Element:
    """A copy of a drawn element with what of it makes a look, and nothing else."""
    made = etree.Element(source.tag)
    kind = local(source)
    for name, given in source.attrib.items():
        if name not in _ATTRIBUTES:
            continue
        if kind == "gd":
            fits = (_GUIDE if name == "name" else _ADJUSTED).fullmatch(given)
        elif name in ("name", "fmla"):
            continue
        else:
            fits = _VALUE.fullmatch(given)
        if fits:
            made.set(name, given)
    if kind == "latin":
        if not is_face(source.get("typeface", "")):
            return etree.Element(f"{A}latin", typeface="+mn-lt")
        made.set("typeface", source.get("typeface"))
    if kind == "t":
        made.text = seen_signs(source.text or "")
    for child in source:
        if local(child) in _ELEMENTS and child.tag.startswith((A, D)):
            made.append(copied(child))
    return made


def paragraphs(source: Element) -> list[str]:
    """The texts of a drawing, paragraph by paragraph."""
    texts = (seen_signs("".join(t.text or "" for t in p.iter(f"{A}t"))) for p in source.iter(f"{A}p"))
    return [text for text in texts if text.strip()]


def pieces(source: Element) -> list[str]:
    """The texts of a drawing, whole paragraphs and the runs in them."""
    runs = (seen_signs(t.text or "") for t in source.iter(f"{A}t"))
    return [*paragraphs(source), *(run for run in runs if run.strip())]


def has_unseen_signs(source: Element) -> bool:
    """Whether a text of a drawing has signs that no page shows."""
    return any(seen_signs(t.text or "") != (t.text or "") for t in source.iter(f"{A}t"))


def stands_oddly(source: Element) -> bool:
    """Whether a text may stand where a page does not show it, or has its look from where it is not looked for here.

    Moved by far more than the margins of a shape, lifted or lowered far from its line, in a list's own look, or in a
    place that holds no text.
    """
    for element in source.iter():
        kind = local(element)
        if kind == "lstStyle" and len(element):
            return True
        if kind == "t" and not _IN_TEXT.fullmatch("/".join(local(a) for a in list(element.iterancestors())[:3])):
            return True
        for name, most in _FAR.items():
            if abs(decimal(element.get(name), 0)) > most and element.tag.startswith(A):
                return True
        if kind == "spcPts" and decimal(element.get("val"), 0) > _MOST_SPACE:
            return True
        if kind == "spcPct" and decimal(element.get("val", "").rstrip("%") or None, 0) > _MOST_SPACING:
            return True
    return False


def ground_of(properties: Element, style: Element, palette: Palette, usual: str = WHITE) -> tuple[str, ...] | None:
    """The colours behind the text of a shape or a chart; None where they cannot be told.

    Args:
        properties: Its ``spPr``.
        style: Its ``style``; None without one.
        palette: The colours of the workbook.
        usual: The colour of what it stands on.
    """
    for child in properties if properties is not None else ():
        kind = local(child)
        if kind == "noFill":
            return (usual,)
        if kind == "solidFill":
            return (palette.drawn(child) or usual,)
        if kind == "gradFill":
            stops = [palette.drawn(stop) for stop in child.iter(f"{A}gs")]
            return None if None in stops or not stops else tuple(s for s in stops if s)
        if kind in ("pattFill", "blipFill", "grpFill"):
            return None
    reference = style.find(f"{A}fillRef") if style is not None else None
    if reference is not None and reference.get("idx", "0") != "0":
        found = palette.drawn(reference)
        return None if found is None else (found,)
    return (usual,)


def is_filled(properties: Element, style: Element) -> bool:
    """Whether a shape hides what is behind it."""
    kinds = {local(child) for child in properties} if properties is not None else set()
    if "noFill" in kinds:
        return False
    if kinds & {"solidFill", "gradFill", "pattFill", "blipFill"}:
        return True
    reference = style.find(f"{A}fillRef") if style is not None else None
    return reference is not None and reference.get("idx", "0") != "0"


def is_read(
    source: Element, style: Element, ground: tuple[str, ...], palette: Palette, around: Sequence[Element] = ()
) -> bool:
    """Whether all the text of a drawing can be read on its ground; ``around`` holds looks that it takes where it has
    none of its own."""
    if stands_oddly(source):
        return False
    scale = next((decimal(e.get("fontScale"), 100_000) for e in source.iter(f"{A}normAutofit")), 100_000) / 100_000
    reference = style.find(f"{A}fontRef") if style is not None else None
    usual = (palette.drawn(reference) if reference is not None else None) or palette.scheme["dk1"]
    for paragraph in source.iter(f"{A}p"):
        for run in paragraph:
            if not "".join(t.text or "" for t in run.iter(f"{A}t")).strip():
                continue
            own = [e for e in (run.find(f"{A}rPr"), paragraph.find(f"{A}pPr/{A}defRPr")) if e is not None]
            looks = [*own, *around]
            ink = next(_inks(looks, palette), usual)
            size = next((decimal(e.get("sz"), 0) / 100 for e in looks if e.get("sz")), _USUAL_SIZE) * scale
            if ink is None or size < LEAST_SIZE or not all(can_be_read(ink, colour) for colour in ground):
                return False
    return True


def is_look_read(looks: Sequence[Element], ground: tuple[str, ...], palette: Palette) -> bool:
    """Whether text in the first of some looks that says so can be read on a ground."""
    ink = next(_inks(list(looks), palette), palette.scheme["dk1"])
    size = next((decimal(e.get("sz"), 0) / 100 for e in looks if e.get("sz")), _USUAL_SIZE)
    return ink is not None and size >= LEAST_SIZE and all(can_be_read(ink, colour) for colour in ground)


def _inks(looks: list[Element], palette: Palette) -> Iterator[str | None]:
    for look in looks:
        for child in look:
            if local(child) == "solidFill":
                yield palette.drawn(child)
            elif local(child) in ("noFill", "gradFill", "pattFill", "blipFill"):
                yield None


def fits(source: Element, rows: int, columns: int) -> bool:
    """Whether the text of a shape can be seen in it, which cuts off what is more than it holds.

    Args:
        source: The shape.
        rows: How many rows of cells it covers.
        columns: How many columns.
    """
    texts = paragraphs(source)
    cut = any(
        b.get("vertOverflow") in ("clip", "ellipsis") or b.get("horzOverflow") == "clip"
        for b in source.iter(f"{A}bodyPr")
    )
    lines = sum(1 for _ in source.iter(f"{A}p", f"{A}br"))
    return not cut or (sum(map(len, texts)) <= rows * columns * _PER_CELL and lines <= 3 * rows)

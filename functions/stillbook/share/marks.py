"""Conditional formats: which of them may go into a copy, and which make it impossible to say what is seen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from lxml import etree

from stillbook.share.colours import BLACK, WHITE, Palette, can_be_read
from stillbook.share.looks import LEAST_SIZE, Look, grounds, members, size_of
from stillbook.share.plain_formulas import looked_at
from stillbook.share.shown import Shown
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, place, read_area
from stillbook.workbook.file.markup import whole
from stillbook.workbook.file.parts import MAIN, Element, Parts, local
from stillbook.workbook.file.sheet import Key

M: Final = f"{{{MAIN}}}"
_WITH_FORMULAS: Final = ("expression", "cellIs")
_SCALES: Final = ("colorScale", "dataBar", "iconSet")
_PLAIN: Final = ("duplicateValues", "uniqueValues")
_USUAL_LIMITS: Final = frozenset(["0", "10", "20", "25", "33", "40", "50", "60", "67", "75", "80", "90", "100"])
"""The shares at which scales and icons change as programs propose them; any other may be one of the office's."""

_RULE: Final = ("type", "priority", "stopIfTrue", "operator")
_SCALE: Final = ("minLength", "maxLength", "reverse", "iconSet")


@dataclass(frozen=True, slots=True)
class _Effect:
    """What a conditional format may do to the looks of some cells.

    Args:
        areas: The cells.
        ink: The colour that it gives their text; empty where it leaves it.
        ground: The colours that it puts behind it; none where it leaves them.
        covers: Whether it replaces the value, changes its number format, or makes it too small.
    """

    areas: tuple[Area, ...]
    ink: str = ""
    ground: tuple[str, ...] = ()
    covers: bool = False

    def reaches(self, at: Key) -> bool:
        return any(area.holds(*at) for area in self.areas)


def refuse_hiding(
    parts: Parts, view: Shown, styles: Element, palette: Palette, looks: Sequence[Look], held: Mapping[Key, object]
) -> None:
    """Refuse a sheet on which a conditional format, or the look of a table, can make shown text invisible.

    Args:
        parts: The source.
        view: What is seen of the sheet.
        styles: The tree of the styles.
        palette: The colours of the workbook.
        looks: The looks of the cell styles.
        held: The values of the shown cells.

    Raises:
        WorkbookError: If there is such a format; the message names a cell.
    """
    effects = [*_effects(parts, view, styles, palette), *_table_effects(parts, view, styles, palette)]
    risky = [e for e in effects if e.covers or e.ink or e.ground]
    if not risky:
        return
    for at, value in held.items():
        if value in (None, ""):
            continue
        here = [effect for effect in risky if effect.reaches(at)]
        look = looks[style] if (style := view.styles.get(at, 0)) < len(looks) else looks[0]
        if here and not _always_seen(look, here):
            raise WorkbookError(
                f"a conditional format can make the text of {place(view.sheet, *at)} invisible or change its digits, "
                "so that nobody can tell what the page shows: remove that format, or clear the cell"
            )


def _always_seen(look: Look, effects: Sequence[_Effect]) -> bool:
    """Whether text is seen whichever of the formats apply."""
    if any(effect.covers for effect in effects):
        return False
    behind = [look.grounds, *(effect.ground for effect in effects if effect.ground)]
    pairs = [(look.ink, ground) for ground in behind]
    for effect in effects:
        if effect.ink:
            pairs += [(effect.ink, ground) for ground in ([effect.ground] if effect.ground else behind)]
    # A format that brings both its colours says nothing of the style's own text on its ground.
    own = {effect.ground for effect in effects if effect.ink and effect.ground}
    others = {effect.ground for effect in effects if not effect.ink and effect.ground} | {look.grounds}
    pairs = [(ink, ground) for ink, ground in pairs if not (ink == look.ink and ground in own - others)]
    return all(can_be_read(ink, colour) for ink, ground in pairs for colour in ground)


def _effects(parts: Parts, view: Shown, styles: Element, palette: Palette) -> Iterator[_Effect]:
    """The effects of a sheet's rules, those that newer programs keep in an extension among them."""
    marks = members(styles, "dxfs", "dxf")
    for block in _all(parts.tree(view.part), "conditionalFormatting"):
        inside = next((e.text for e in _all(block, "sqref")), None)
        areas = _areas(block.get("sqref") or inside or "")
        for rule in _all(block, "cfRule"):
            for scale in (e for kind in _SCALES for e in _all(rule, kind)):
                hides = scale.get("showValue") in ("0", "false")
                colours = [] if local(scale) == "iconSet" else _all(scale, "color")
                yield _Effect(areas, covers=hides)
                for colour in colours:
                    yield _Effect(areas, ground=(palette.colour(colour, WHITE),))
            number = whole(rule.get("dxfId"), -1)
            styled = [*_all(rule, "dxf"), *(marks[number : number + 1] if number >= 0 else [])]
            for mark in styled:
                yield _effect(areas, mark, palette)


def _effect(areas: tuple[Area, ...], mark: Element, palette: Palette) -> _Effect:
    font, fill = mark.find(f"{M}font"), mark.find(f"{M}fill")
    colour = font.find(f"{M}color") if font is not None else None
    covers = mark.find(f"{M}numFmt") is not None or size_of(font, LEAST_SIZE) < LEAST_SIZE
    behind = _ground_of_mark(fill, palette)
    return _Effect(areas, palette.colour(colour, BLACK) if colour is not None else "", behind, covers)


def _ground_of_mark(fill: Element, palette: Palette) -> tuple[str, ...]:
    """The ground of a conditional format, which programs write into the colour behind the pattern."""
    pattern = fill.find(f"{M}patternFill") if fill is not None else None
    if pattern is None:
        return grounds(fill, palette) if fill is not None else ()
    if pattern.get("patternType", "solid") in ("solid", "none"):
        shown = pattern.find(f"{M}bgColor")
        shown = pattern.find(f"{M}fgColor") if shown is None else shown
        return (palette.colour(shown, WHITE),) if shown is not None else ()
    return grounds(fill, palette)


def _table_effects(parts: Parts, view: Shown, styles: Element, palette: Palette) -> Iterator[_Effect]:
    """The effects of tables in a style of the workbook's own."""
    marks = members(styles, "dxfs", "dxf")
    own = {style.get("name", ""): style for style in members(styles, "tableStyles", "tableStyle")}
    for relation in parts.relations(view.part).values():
        if relation.kind != "table" or relation.outside:
            continue
        table = parts.tree(relation.target)
        look = table.find(f"{M}tableStyleInfo")
        areas = _areas(table.get("ref", ""))
        for element in own.get(look.get("name", "") if look is not None else "", ()):
            for mark in marks[(number := whole(element.get("dxfId"), len(marks))) : number + 1]:
                yield _effect(areas, mark, palette)


def _all(root: Element, kind: str) -> list[Element]:
    """The elements of a kind in any namespace."""
    return [element for element in root.iter() if local(element) == kind]


def _areas(text: str) -> tuple[Area, ...]:
    return tuple(area for piece in text.split() if (area := read_area(piece)))


# --- the rules that go into a copy ------------------------------------------------------------------------------------


def kept_rules(
    source: Element, view: Shown, texts: frozenset[str]
) -> tuple[list[tuple[str, list[tuple[Element, int | None]]]], int]:
    """The conditional formats of a sheet that look at shown cells alone and say nothing more, and how many others.

    Args:
        source: The tree of the sheet.
        view: What is seen of it.
        texts: The texts that the reader is shown.

    Returns:
        For each block of cells its rules, written anew, each with the number of its style in the source.
    """
    kept, left = [], 0
    for block in source.iterfind(f"{M}conditionalFormatting"):
        areas = _areas(block.get("sqref", ""))
        rules = []
        for rule in block.iterfind(f"{M}cfRule"):
            made = _rule(rule, view, texts) if areas and all(view.shows_all(area) for area in areas) else None
            if made is None:
                left += any(view.touches(area) for area in areas)
            else:
                number = rule.get("dxfId")
                rules.append((made, whole(number) if number is not None else None))
        if rules:
            kept.append((" ".join(map(str, areas)), rules))
    left += sum(rule.tag != f"{M}cfRule" for rule in _all(source, "cfRule"))
    return kept, left


def _rule(rule: Element, view: Shown, texts: frozenset[str]) -> Element | None:
    kind = rule.get("type", "")
    if kind not in (*_WITH_FORMULAS, *_SCALES, *_PLAIN):
        return None
    made = etree.Element(f"{M}cfRule")
    for name in _RULE:
        if (given := rule.get(name)) is not None and given.isalnum():
            made.set(name, given)
    for formula in rule.iterfind(f"{M}formula"):
        if kind not in _WITH_FORMULAS or not looks_only_at_shown(formula.text or "", view, texts):
            return None
        etree.SubElement(made, f"{M}formula").text = formula.text
    for scale in rule.iterfind("*"):
        if local(scale) in _SCALES and not _scale(made, scale):
            return None
    return made


def _scale(made: Element, scale: Element) -> bool:
    """Write a scale of colours, bars or icons; False where it has a limit of the office's own."""
    holder = etree.SubElement(made, scale.tag)
    for name in _SCALE:
        if (given := scale.get(name)) is not None and given.isalnum():
            holder.set(name, given)
    for child in scale:
        kind = local(child)
        if kind == "cfvo":
            share = child.get("type") in ("percent", "percentile") and child.get("val", "0") in _USUAL_LIMITS
            if not share and child.get("type") not in ("min", "max"):
                return False
            limit = etree.SubElement(holder, child.tag, type=child.get("type"))
            if share:
                limit.set("val", child.get("val", "0"))
            if child.get("gte") in ("0", "false"):
                limit.set("gte", "0")
        elif kind == "color":
            colour = etree.SubElement(holder, child.tag)
            put_colour(colour, child)
    return True


def put_colour(made: Element, source: Element) -> None:
    """Copy what names a colour: hexadecimal digits, or a place in the theme or in the palette."""
    rgb = source.get("rgb", "")
    if len(rgb) in (6, 8) and all(sign in "0123456789abcdefABCDEF" for sign in rgb):
        made.set("rgb", rgb)
    for name in ("theme", "indexed"):
        if source.get(name, "").isdigit():
            made.set(name, str(whole(source.get(name))))
    if source.get("auto") in ("1", "true"):
        made.set("auto", "1")
    if source.get("tint") is not None:
        made.set("tint", source.get("tint") if _is_number(source.get("tint")) else "0")


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def looks_only_at_shown(formula: str, view: Shown, texts: frozenset[str]) -> bool:
    """Whether a formula is plain, says nothing that the page does not show, and looks at shown cells of its sheet."""
    references = looked_at(formula, view.sheet, texts)
    return references is not None and all(sheet == view.sheet and view.shows_all(area) for sheet, area in references)

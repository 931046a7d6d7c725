"""The styles and colours of a shared copy: those that its cells use, and no more than they need."""

from __future__ import annotations

from typing import Final

from lxml import etree

from stillbook.share.sheets import Record
from stillbook.workbook.file.parts import DRAWING, MAIN, RELATIONS, Element

M: Final = f"{{{MAIN}}}"
A: Final = f"{{{DRAWING}}}"
_KEPT: Final = ("numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "dxfs", "colors")
_FIRST_OWN_FORMAT: Final = 164
_THEME_PARTS: Final = ("clrScheme", "fontScheme", "fmtScheme")


def add_stamp_style(styles: Element) -> int:
    """Add the style in which the stamp is written: small, wrapped text in the usual face; gives its number."""
    fonts, cells = styles.find(f"{M}fonts"), styles.find(f"{M}cellXfs")
    font = etree.SubElement(fonts, f"{M}font")
    etree.SubElement(font, f"{M}sz").set("val", "9")
    first = fonts.find(f"{M}font/{M}name")
    etree.SubElement(font, f"{M}name").set("val", first.get("val") if first is not None else "Calibri")
    style = etree.SubElement(
        cells, f"{M}xf", numFmtId="0", fontId=str(len(fonts) - 1), fillId="0", borderId="0", xfId="0"
    )
    style.set("applyFont", "1")
    style.set("applyAlignment", "1")
    etree.SubElement(style, f"{M}alignment", horizontal="left", vertical="top", wrapText="1")
    for holder in (fonts, cells):
        holder.set("count", str(len(holder)))
    return len(cells) - 1


def bare_styles(styles: Element, record: Record) -> Element:
    """The styles without the names and number formats that no shown cell uses; their numbers stay."""
    for group in list(styles):
        if etree.QName(group).localname not in _KEPT:
            styles.remove(group)
    used: set[str] = set()
    for number, style in enumerate(styles.findall(f"{M}cellXfs/{M}xf")):
        if number in record.styles:
            used.add(style.get("numFmtId", "0"))
        else:
            for child in list(style):
                style.remove(child)
            style.attrib.clear()
            for name in ("numFmtId", "fontId", "fillId", "borderId", "xfId"):
                style.set(name, "0")
    for style in styles.findall(f"{M}cellStyleXfs/{M}xf"):
        style.set("numFmtId", "0")
    _bare_marks(styles, record)
    _bare_formats(styles, used, record)
    _bare_fonts(styles, record)
    for group in styles.findall(f"{M}cellStyles"):
        for named in list(group):
            group.remove(named)
        etree.SubElement(group, f"{M}cellStyle", name="Normal", xfId="0", builtinId="0")
        group.set("count", "1")
    for extension in list(styles.iter(f"{M}extLst")):
        extension.getparent().remove(extension)
    return styles


def _bare_marks(styles: Element, record: Record) -> None:
    for number, mark in enumerate(styles.findall(f"{M}dxfs/{M}dxf")):
        if number not in record.marks:
            for child in list(mark):
                mark.remove(child)
        else:
            record.texts |= {f.get("formatCode", "") for f in mark.iter(f"{M}numFmt")}


def _bare_formats(styles: Element, used: set[str], record: Record) -> None:
    group = styles.find(f"{M}numFmts")
    if group is None:
        return
    for code in list(group):
        if code.get("numFmtId") not in used:
            group.remove(code)
        else:
            record.texts.add(code.get("formatCode", ""))
    group.set("count", str(len(group)))
    if not len(group):
        styles.remove(group)


def _bare_fonts(styles: Element, record: Record) -> None:
    """Give fonts that no shown cell uses the plain look of the first."""
    shown = [style for n, style in enumerate(styles.findall(f"{M}cellXfs/{M}xf")) if n in record.styles]
    used = {style.get("fontId", "0") for style in (*shown, *styles.findall(f"{M}cellStyleXfs/{M}xf"))}
    for number, font in enumerate(styles.findall(f"{M}fonts/{M}font")):
        if str(number) not in used:
            for child in list(font):
                font.remove(child)


def bare_theme(theme: Element) -> Element | None:
    """A theme with its colours, faces and fills under names of no meaning; None where it holds pictures."""
    if any(name.startswith(f"{{{RELATIONS}}}") for element in theme.iter() for name in element.attrib):
        return None
    theme.set("name", "Theme")
    for child in list(theme):
        if child.tag != f"{A}themeElements":
            theme.remove(child)
    elements = theme.find(f"{A}themeElements")
    if elements is None:
        return None
    for child in list(elements):
        if etree.QName(child).localname in _THEME_PARTS:
            child.set("name", "Theme")
        else:
            elements.remove(child)
    for extension in list(theme.iter(f"{A}extLst")):
        extension.getparent().remove(extension)
    return theme

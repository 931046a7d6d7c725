"""Headers and footers of a printed page: what of them is printed."""

from __future__ import annotations

import re
from typing import Final

from stillbook.share.colours import BLACK, WHITE, Palette, can_be_read, tinted
from stillbook.share.looks import LEAST_SIZE
from stillbook.share.signs import seen_signs
from stillbook.workbook.file.parts import MAIN, Element, local

M: Final = f"{{{MAIN}}}"
_PIECE: Final = re.compile(
    r'&"(?P<font>[^"]*)"|&K(?P<rgb>[0-9A-Fa-f]{6})|&K(?P<theme>\d\d[+-]\d{3})|&(?P<size>\d{1,3})'
    r"|&(?P<code>[A-Za-z&+\-])|(?P<text>[^&]+|&)",
    re.DOTALL,
)
_SECTIONS: Final = frozenset("LCR")
_FIELDS: Final = frozenset("PNDTFA")
"""Page, pages, date, time, and the names of the file and the sheet, all of the copy itself."""

_LOOKS: Final = frozenset("BIUEXYSOH")
_STYLES: Final = re.compile(r"(Regular|Bold|Italic|Bold Italic)", re.IGNORECASE)
_AFTER: Final = (
    *("rowBreaks", "colBreaks", "customProperties", "cellWatches", "ignoredErrors", "smartTags", "drawing"),
    *(
        "legacyDrawing",
        "legacyDrawingHF",
        "picture",
        "oleObjects",
        "controls",
        "webPublishItems",
        "tableParts",
        "extLst",
    ),
)
"""What stands after the headers and footers in a sheet's part."""

_BEYOND: Final = re.compile(r"[^\S\n]{60,}|(?:[^\S\n]*\n){8,}")

_THEME_COLOURS: Final = ("lt1", "dk1", "lt2", "dk2", *(f"accent{n}" for n in range(1, 7)), "hlink", "folHlink")


def printed(holder: Element) -> list[tuple[str, str]]:
    """Kind and text of each header and footer that is printed: those of even and first pages only where they differ."""
    kinds = ["oddHeader", "oddFooter"]
    if holder.get("differentOddEven") in ("1", "true"):
        kinds += ["evenHeader", "evenFooter"]
    if holder.get("differentFirst") in ("1", "true"):
        kinds += ["firstHeader", "firstFooter"]
    return [(kind, text) for kind in kinds if (text := holder.findtext(f"{M}{kind}"))]


def with_mark(text: str, mark: str) -> str:
    """A header with a mark in its middle, before what stands there.

    >>> with_mark("&LScope&RPage &P", "DRAFT")
    '&LScope&C&"-,Bold"&14DRAFT&RPage &P'
    >>> with_mark("Scope", "DRAFT")
    '&C&"-,Bold"&14DRAFT&"-,Regular"&10 Scope'
    """
    marked, after = f'&"-,Bold"&14{mark}', '&"-,Regular"&10 '
    if "&C" in text:
        return text.replace("&C", f"&C{marked}{after}", 1)
    if text and text[:2] not in ("&L", "&R"):
        return f"&C{marked}{after}{text}"
    before, right, after_it = text.partition("&R")
    return f"{before}&C{marked}{right}{after_it}"


def headers_of(sheet: Element) -> Element:
    """The element of a sheet's headers and footers, put in its place where there is none."""
    found = sheet.find(f"{M}headerFooter")
    if found is None:
        found = sheet.makeelement(f"{M}headerFooter")
        sheet.insert(sum(local(child) not in _AFTER for child in sheet), found)
    return found


def put_mark(holder: Element, mark: str) -> None:
    """Put a mark into every header of a sheet's headers and footers that is printed."""
    kinds = ["oddHeader", *(kind for kind, _ in printed(holder) if kind in ("evenHeader", "firstHeader"))]
    for switch, kind in (("differentOddEven", "evenHeader"), ("differentFirst", "firstHeader")):
        if holder.get(switch) in ("1", "true") and kind not in kinds:
            kinds.append(kind)
    for kind in kinds:
        header = holder.find(f"{M}{kind}")
        if header is None:
            header = holder.makeelement(f"{M}{kind}")
            order = ("oddHeader", "oddFooter", "evenHeader", "evenFooter", "firstHeader", "firstFooter")
            before = [child for child in holder if order.index(local(child)) < order.index(kind)]
            holder.insert(len(before), header)
        header.text = with_mark(header.text or "", mark)


def with_project(text: str, project: str) -> str:
    """A header or footer with the name of the project where that of the file and its folder would stand.

    >>> with_project("&LOurs&R&8&F", "Hut & barn")
    '&LOurs&R&8Hut && barn'
    """
    named = re.compile("&(&)|&[Zz](?:&[Ff])?|&[Ff]")
    return named.sub(lambda code: code[0] if code[1] else project.replace("&", "&&"), text)


def put_project(holder: Element, project: str) -> None:
    """Put the name of the project into headers and footers in place of the file's, and at the right of a free foot."""
    for kind, text in printed(holder):
        found = holder.find(f"{M}{kind}")
        if found is not None:
            found.text = with_project(text, project)
            if project and kind.endswith("Footer") and text == found.text and "&R" not in text:
                found.text = f"{text}&R&8{project.replace('&', '&&')}"


def seen_header(text: str, palette: Palette) -> tuple[str, list[str]]:
    """A header with what of it is seen, and the words in it.

    The names of typefaces, pictures, and the folder of the file go, and so does text in the colour of the paper, too
    small to be read, or behind so many blanks or lines that it runs off the paper, and signs that no page shows.

    >>> seen_header('&L&9Scope&"Office face,Bold" of work&R&KFFFFFFmargin 35%', Palette(None, None))
    ('&L&9Scope&"-,Bold" of work&R&KFFFFFF', ['Scope', 'of work'])
    """
    made, words = [], [""]
    text = _BEYOND.split(seen_signs(text), maxsplit=1)[0]
    ink, size = BLACK, 10.0
    for match in _PIECE.finditer(text):
        kind, found = match.lastgroup or "text", match[match.lastgroup or "text"]
        if kind == "font":
            style = _STYLES.fullmatch(found.partition(",")[2].strip())
            made.append(f'&"-,{style[1] if style else "Regular"}"')
        elif kind == "size":
            size = float(found)
            made.append(match[0])
        elif kind == "rgb":
            ink = found.upper()
            made.append(match[0])
        elif kind == "theme":
            place = int(found[:2])
            known = palette.scheme[_THEME_COLOURS[place]] if place < len(_THEME_COLOURS) else BLACK
            ink = tinted(known, max(-1.0, min(1.0, int(found[2:]) / 100)))
            made.append(match[0])
        elif kind == "code" and found != "&":
            upper = found.upper()
            if upper in _SECTIONS:
                ink, size = BLACK, 10.0
                words.append("")
            if upper in _SECTIONS | _FIELDS | _LOOKS:
                made.append(f"&{upper}")
        elif can_be_read(ink, WHITE) and size >= LEAST_SIZE:
            made.append(match[0])
            words[-1] += "&" if kind == "code" else found
            continue
        words.append("")
    return "".join(made), [word.strip() for word in words if word.strip()]

"""Charts of the shipped workbooks: each told in words, its axes named, its colours dark enough to be told from paper."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from lxml import etree

from stillbook.templates.shipped import folder

BOOKS = sorted(folder().glob("*.xlsx"))
LEAST = 3.0
"""Contrast of graphics against what lies around them: Web Content Accessibility Guidelines 2.1, success criterion 1.4.11."""

DRAWN = ("Plan", "Section", "Key", "Wall", "Ducts", "Door", "Loss", "Wall_loss", "Plate")
"""Drawings, which have no title of their own: a heading stands over them."""

C = "{http://schemas.openxmlformats.org/drawingml/2006/chart}"
A = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
XDR = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}"


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.1, definitions)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(colour: str) -> float:
    """Contrast of a colour with white."""
    return 1.05 / (luminance(colour) + 0.05)


@pytest.mark.parametrize(("colour", "ratio"), [("000000", 21.0), ("FFFFFF", 1.0), ("777777", 4.48), ("C9A24B", 2.4)])
def test_contrast(colour: str, ratio: float) -> None:
    assert contrast(colour) == pytest.approx(ratio, abs=0.02)


def parts(book: Path, kind: str) -> dict[str, etree._Element]:
    with zipfile.ZipFile(book) as file:
        return {n: etree.fromstring(file.read(n)) for n in file.namelist() if n.startswith(kind) and n.endswith(".xml")}


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.stem)
def test_each_chart_is_told_in_words(book: Path) -> None:
    frames = [f for root in parts(book, "xl/drawings/drawing").values() for f in root.iter(f"{XDR}graphicFrame")]
    assert len(frames) == len(parts(book, "xl/charts/chart"))
    for frame in frames:
        told = frame.find(f"{XDR}nvGraphicFramePr/{XDR}cNvPr")
        assert told is not None
        assert len(told.get("descr", "")) > 40
        assert told.get("title")
        assert told.get("name") == told.get("title")
        assert not told.get("name", "").startswith("Chart ")


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.stem)
def test_the_words_are_those_of_the_chart(book: Path) -> None:
    """The name in a drawing is what the title of its own chart begins with; a plan or section has no title."""
    charts = parts(book, "xl/charts/chart")
    with zipfile.ZipFile(book) as file:
        for name, root in parts(book, "xl/drawings/drawing").items():
            links = etree.fromstring(file.read(name.replace("drawings/", "drawings/_rels/") + ".rels"))
            targets = {link.get("Id"): link.get("Target", "").rpartition("/")[2] for link in links}
            for frame in root.iter(f"{XDR}graphicFrame"):
                link = next(iter(frame.iter(f"{C}chart")))
                target = targets[link.get("{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id")]
                words = "".join(charts[f"xl/charts/{target}"].xpath("string(*/*[local-name()='title'])").split("\n"))
                told = next(iter(frame.iter(f"{XDR}cNvPr"))).get("name", "")
                assert words.strip().startswith(told) if words.strip() else told in DRAWN


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.stem)
def test_lines_and_fills_stand_out_from_white(book: Path) -> None:
    for name, root in parts(book, "xl/charts/chart").items():
        looks = [look for series in root.iter(f"{C}ser") for look in series.iter(f"{C}spPr")]
        colours = {colour.get("val", "") for look in looks for colour in look.iter(f"{A}srgbClr")}
        assert colours, name
        assert not {colour for colour in colours if contrast(colour) < LEAST}, name
        assert not [look for look in looks if look.findall(f".//{A}schemeClr") or look.findall(f".//{A}prstClr")], name


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.stem)
def test_each_axis_of_figures_has_a_title(book: Path) -> None:
    for name, root in parts(book, "xl/charts/chart").items():
        for axis in root.iter(f"{C}valAx"):
            hidden = axis.find(f"{C}delete")
            if hidden is None or hidden.get("val") not in ("1", "true"):
                assert axis.find(f"{C}title") is not None, name

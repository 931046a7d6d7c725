"""What every page of the manual has, and the making of its elements."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from lxml import html

from stillbook import __version__

PARTS: Final = (
    ("index.html", "Contents"),
    ("formulas.html", "Formulas"),
    ("templates.html", "Templates"),
    ("materials.html", "Materials"),
    ("guides.html", "Spreadsheet programs"),
    ("cautions.html", "Cautions"),
)
"""The parts of the manual with the pages they begin on; each page names its part."""

Child = Any
"""Text, an element, or a list of these."""


@dataclass(frozen=True, slots=True)
class Entry:
    """Something that the search finds.

    Args:
        name: By what it is called: a formula, an input, a template.
        summary: What it is, in a line.
        kind: What kind of thing it is, as the list of what was found says.
        link: The page, and the place on it.
        more: Other words it is found by.
    """

    name: str
    summary: str
    kind: str
    link: str
    more: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """A page before it is framed.

    Args:
        file: Its name in the folder.
        title: What it is about.
        part: The file on which its part of the manual begins.
        content: What stands on it, heading first.
        entries: What the search finds on it.
    """

    file: str
    title: str
    part: str
    content: Sequence[Any]
    entries: Sequence[Entry] = ()


def h(tag: str, *children: Child, **attributes: str) -> Any:
    """An element. Attributes that are words of Python end in ``_``; ``_`` inside one stands for ``-``."""
    element = html.Element(tag)
    for name, value in attributes.items():
        element.set(name.rstrip("_").replace("_", "-"), value)
    _append(element, children)
    return element


def _append(element: Any, children: Iterable[Child]) -> None:
    for child in children:
        if isinstance(child, str):
            if len(element):
                element[-1].tail = (element[-1].tail or "") + child
            else:
                element.text = (element.text or "") + child
        elif isinstance(child, list | tuple):
            _append(element, child)
        else:
            element.append(child)


def table(headings: Sequence[str], rows: Iterable[Sequence[Child]], *, ids: Sequence[str] = ()) -> Any:
    """Rows under headings, the first cell of each naming it; ``ids`` are the places that links lead to, row by row."""
    body = []
    for place, row in enumerate(rows):
        cells = zip(headings[1:], row[1:], strict=True)
        line = h("tr", h("th", row[0], scope="row"), [h("td", cell, data_heading=name) for name, cell in cells])
        if ids:
            line.set("id", ids[place])
        body.append(line)
    head = h("thead", h("tr", [h("th", heading, scope="col") for heading in headings]))
    return h("div", h("table", head, h("tbody", body)), class_="scroll", tabindex="0")


def link(text: Child, target: str) -> Any:
    """A link to another page, or to a place on this one."""
    return h("a", text, href=target)


def framed(page: Page) -> str:
    """A page as it is written: with the head that leads to the parts, the search, and the foot."""
    parts = []
    for file, title in PARTS:
        leads = link(title, file)
        if file == page.part:
            leads.set("aria-current", "page" if page.file == file else "true")
        parts.append(h("li", leads))
    found = h("div", h("p", id="count", class_="count", role="status"), h("ul", id="found", class_="choices"))
    field = h("input", id="search", type="search", autocomplete="off", spellcheck="false", aria_describedby="count")
    said = "A formula, an input, a check, or words such as weight of a door"
    document = h(
        "html",
        h(
            "head",
            h("meta", charset="utf-8"),
            h("title", page.title if page.title == "Stillbook" else f"{page.title} – Stillbook"),
            h("meta", name="viewport", content="width=device-width, initial-scale=1"),
            h("meta", name="color-scheme", content="light dark"),
            h("link", rel="icon", href="mark.svg", type="image/svg+xml"),
            h("link", rel="stylesheet", href="style.css"),
            h("script", src="search.js", defer=""),
        ),
        h(
            "body",
            h("a", "Skip to the content", class_="skip", href="#content"),
            h(
                "header",
                h("p", h("img", src="mark.svg", alt="", width="28", height="28"), " Stillbook", class_="mark"),
                h("nav", h("ul", parts), class_="parts", aria_label="Parts of this manual"),
                class_="top",
            ),
            h(
                "main",
                h(
                    "div",
                    h("label", "Search the manual", for_="search"),
                    field,
                    h("p", said, " (press / to come here)", class_="hint"),
                    found,
                    role="search",
                    class_="find",
                    hidden="",
                ),
                h("div", list(page.content), id="content", tabindex="-1"),
            ),
            h(
                "footer",
                h(
                    "p",
                    f"Stillbook {__version__}. Estimates, not certified designs. ",
                    link("Read the cautions", "cautions.html"),
                    ".",
                ),
                class_="foot",
            ),
        ),
        lang="en",
    )
    text: str = html.tostring(document, doctype="<!doctype html>", encoding="unicode")
    return f"{text}\n"

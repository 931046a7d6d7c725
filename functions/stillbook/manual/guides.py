"""The guides of the spreadsheet programs, which the hosts keep in Markdown."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from lxml import html

from stillbook.hosts.host import Host
from stillbook.hosts.registry import HOSTS
from stillbook.manual.page import Entry, Page, h, link, table

PART = "guides.html"


def pages() -> list[Page]:
    """The list of the programs, and the guide of each."""
    rows = [(link(host.title, file_of(host)), host.help) for host in HOSTS.values()]
    content = [h("h1", "Spreadsheet programs"), table(("Program", "Connected by"), rows)]
    return [Page(PART, "Spreadsheet programs", PART, content), *map(_guide, HOSTS.values())]


def file_of(host: Host) -> str:
    """The page of a program."""
    return f"guide-{host.name}.html"


def _guide(host: Host) -> Page:
    file = file_of(host)
    content = from_markdown(host.guide().read_text("utf-8"))
    entries = [Entry("", title, f"Guide, {host.title}", f"{file}#{id}", text) for id, title, text in _parts(content)]
    return Page(file, host.title, PART, content, [Entry(host.name, host.help, "Guide", file, host.title), *entries])


def from_markdown(text: str) -> list[Any]:
    """Markdown as elements; each heading has a place that links lead to, and each table may be wider than the page."""
    from markdown_it import MarkdownIt

    # The guides are our own; what looks like an element in them is text all the same.
    made = MarkdownIt("commonmark", {"html": False}).enable("table").render(text)
    body = html.fragment_fromstring(made, create_parent="div")
    for heading in body.iter("h2", "h3"):
        heading.set("id", re.sub(r"[^a-z\d]+", "-", heading.text_content().lower()).strip("-"))
    for each in list(body.iter("table")):
        around = h("div", class_="scroll", tabindex="0")
        each.getparent().replace(each, around)
        around.append(each)
    return list(body)


def _parts(content: list[Any]) -> Iterator[tuple[str, str, str]]:
    """Place, heading and text of each part below a heading."""
    place, title, words = "", "", list[str]()
    for element in [*content, h("h2")]:
        if element.tag == "h2":
            if place:
                yield place, title, " ".join(words)
            place, title, words = element.get("id", ""), element.text_content(), []
        else:
            words.append(element.text_content())

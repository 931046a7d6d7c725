"""The pages of the formulas: one for each family."""

from __future__ import annotations

from typing import Any

from stillbook.catalogue import formulas
from stillbook.cells import fifteen
from stillbook.formula import Formula, both, without_units
from stillbook.manual.page import Entry, Page, h, link, table
from stillbook.quantities import System

PART = "formulas.html"


def pages() -> list[Page]:
    """The list of all formulas, and a page for each family."""
    families: dict[str, list[Formula]] = {}
    for entry in formulas().values():
        families.setdefault(entry.family, []).append(entry)
    lists = [
        h(
            "section",
            h("h2", link(family, file_of(family))),
            table(("Formula", "Gives"), [(link(each.workbook_name, place_of(each)), each.summary) for each in entries]),
        )
        for family, entries in families.items()
    ]
    start = Page(
        PART,
        "Formulas",
        PART,
        [
            h("h1", "Formulas"),
            h("p", "A number alone is in the unit told with each argument: US units, unless the last argument is “SI”. "
              "Text with a unit means what it says: 36 in, 3'-0\", 900 mm, 2.2 lb/ft², 12 L/s."),
            h("p", "A range in the place of a number gives an answer for each of its cells."),
            *lists,
        ],
    )  # fmt: skip
    return [start, *(_family(family, entries) for family, entries in families.items())]


def file_of(family: str) -> str:
    """The page of a family."""
    return f"formulas-{family.lower().replace(' ', '-')}.html"


def place_of(entry: Formula) -> str:
    """The page of a formula, and its place there."""
    return f"{file_of(entry.family)}#{entry.name}"


def _family(family: str, entries: list[Formula]) -> Page:
    index = h("ul", [h("li", link(entry.workbook_name, f"#{entry.name}")) for entry in entries], class_="series")
    content = [h("h1", family), h("nav", index, aria_label="Formulas on this page"), *map(_formula, entries)]
    return Page(file_of(family), family, PART, content, [_entry(entry) for entry in entries])


def _entry(entry: Formula) -> Entry:
    arguments = " ".join(f"{argument.words} {argument.help}" for argument in entry.arguments)
    more = f"{entry.family} {arguments} {entry.notes} {entry.source}"
    return Entry(entry.workbook_name, entry.summary, f"Formula, {entry.family}", place_of(entry), more)


def _formula(entry: Formula) -> Any:
    """All that is known of one formula."""
    rows = [(argument.words, argument.unit_for_both, argument.meaning) for argument in entry.arguments]
    gives = entry.result.said(both(entry.result.unit("US"), entry.result.unit("SI")))
    return h(
        "article",
        h("h2", entry.workbook_name),
        h("p", f"{entry.summary}.", class_="gist"),
        h("p", h("code", entry.signature, class_="call")),
        [table(("Argument", "Unit", "Meaning"), rows)] if rows else [],
        [h("p", each) for each in without_units(entry.notes).split("\n\n")],
        h(
            "dl",
            h("dt", "Gives"),
            h("dd", f"{gives[0].upper()}{gives[1:]}."),
            h("dt", "Example"),
            h("dd", h("code", f"={entry.example.call}"), f" gives {_shown(entry)}"),
            h("dt", "Source"),
            h("dd", entry.source),
            class_="facts",
        ),
        id=entry.name,
    )


def _shown(entry: Formula) -> str:
    """What the example gives, with its unit where it is one number."""
    gives = entry.example.gives
    system: System = "SI" if entry.example.call.endswith('"SI")') else "US"
    if isinstance(gives, tuple):
        return "; ".join(map(_figure, gives))
    unit = entry.result.unit(system) if isinstance(gives, int | float) else ""
    return f"{_figure(gives)} {unit}".rstrip()


def _figure(value: Any) -> str:
    return f"{fifteen(value):.10g}" if isinstance(value, int | float) and not isinstance(value, bool) else str(value)

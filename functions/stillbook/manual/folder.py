"""The pages of the manual put together, and written as a folder."""

from __future__ import annotations

import re
import secrets
import shutil
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from stillbook.catalogue import call
from stillbook.cautions import CAUTIONS
from stillbook.formula import both
from stillbook.manual import formulas, guides, templates
from stillbook.manual.page import PARTS, Entry, Page, framed, h, link, table
from stillbook.manual.search import script
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.saving import refuse_existing

START = PARTS[0][0]


@dataclass(frozen=True, slots=True)
class Manual:
    """What was written.

    Args:
        folder: The folder.
        start: The page to open.
        pages: How many pages there are.
    """

    folder: Path
    start: Path
    pages: int


def write(folder: Path) -> Manual:
    """Write the manual as a folder, in one step: a folder that is there whole, or not at all.

    Raises:
        WorkbookError: If a file of that name is there, or a folder that holds something.
        OSError: If it cannot be written.
    """
    folder = folder.resolve()
    if not (folder.is_dir() and not any(folder.iterdir())):
        refuse_existing(folder)
    if not folder.parent.is_dir():
        raise WorkbookError(f"{folder}: there is no folder {folder.parent}: make it first, or choose another")
    pages = all_pages()
    panel, own = files("stillbook").joinpath("hosts/browser"), files("stillbook").joinpath("manual")
    looks = [place.read_text("utf-8") for place in (panel.joinpath("style.css"), own.joinpath("manual.css"))]
    contents = {page.file: framed(page) for page in pages} | {
        "search.js": script(entry for page in pages for entry in page.entries),
        "style.css": "\n".join(looks),
        "mark.svg": panel.joinpath("icons/mark.svg").read_text("utf-8"),
    }
    beside = folder.with_name(f".{folder.name}-{secrets.token_hex(4)}.tmp")
    beside.mkdir()
    try:
        for name, text in contents.items():
            (beside / name).write_text(text, "utf-8", newline="\n")
        if folder.is_dir():
            folder.rmdir()
        beside.replace(folder)
    except BaseException:
        shutil.rmtree(beside, ignore_errors=True)
        raise
    return Manual(folder, folder / START, len(pages))


def all_pages() -> list[Page]:
    """Every page, the first one first."""
    parts = [*formulas.pages(), *templates.pages(), _materials(), *guides.pages(), _cautions()]
    return [_contents(parts), *parts]


def _contents(pages: list[Page]) -> Page:
    """The page to begin with: what there is."""
    sections = []
    for file, title in PARTS[1:]:
        inside = [h("li", link(page.title, page.file)) for page in pages if page.part == file != page.file]
        sections.append(h("section", h("h2", link(title, file)), [h("ul", inside)] if inside else []))
    said = (
        "The arithmetic of small, quiet rooms as workbook formulas, and templates of estimates made with them. "
        "This manual was written from the program itself, and needs no network."
    )
    return Page(
        START,
        "Stillbook",
        START,
        [h("h1", "Stillbook: the manual"), h("p", said), h("div", sections, class_="contents")],
    )


def _materials() -> Page:
    """The materials that a build-up may name, in both unit systems."""
    us, si = (_rows("MATERIALS", system) for system in ("US", "SI"))
    headings = [both_headings(one, other) for one, other in zip(us[0], si[0], strict=True)]
    rows, ids, entries = [], [], []
    for number, (one, other) in enumerate(zip(us[1:], si[1:], strict=True), start=1):
        cells = [both(_cell(first), _cell(second)) for first, second in zip(one, other, strict=True)]
        rows.append(cells)
        ids.append(f"material-{number}")
        entries.append(Entry(cells[0], cells[1], "Material", f"materials.html#{ids[-1]}"))
    content = [
        h("h1", "Materials"),
        h(
            "p",
            "Names that a build-up may hold. Of two figures the first is for US units, the second for SI.",
        ),
        h("div", table(headings, rows, ids=ids), class_="materials"),
    ]
    return Page("materials.html", "Materials", "materials.html", content, entries)


def _rows(name: str, system: str) -> list[list[Any]]:
    found = call(name, None, system)
    assert isinstance(found, list), f"{name}: {found}"
    return found


def both_headings(us: str, si: str) -> str:
    """A heading with the units of both unit systems: ``Mass (lb/ft² or kg/m²)``."""
    if us == si:
        return us
    unit = re.search(r"\(([^)]*)\)$", si)
    return us.removesuffix(")") + f" or {unit[1]})" if unit else f"{us} or {si}"


def _cell(value: Any) -> str:
    return f"{value:.4g}" if isinstance(value, float) else str(value)


def _cautions() -> Page:
    content = [h("h1", "Cautions"), h("div", h("ul", [h("li", caution) for caution in CAUTIONS]), class_="cautions")]
    return Page("cautions.html", "Cautions", "cautions.html", content)

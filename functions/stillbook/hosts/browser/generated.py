"""The files of the add-in that follow from the catalogue, made when they are asked for."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Final

from stillbook import __version__
from stillbook.catalogue import formulas
from stillbook.cautions import CAUTIONS
from stillbook.hosts.browser.manifest import manifest
from stillbook.hosts.browser.metadata import metadata
from stillbook.hosts.showing import NAMESPACE
from stillbook.trade.mass.words import other_words

OFFICE_SCRIPT: Final = "https://appsforoffice.microsoft.com/lib/1/hosted/office.js"
"""The script through which an add-in reaches its workbook. Its vendor asks that it be loaded from there."""

_HEAD: Final = '<script type="module" src="panel.js"></script>'


@dataclass(frozen=True)
class Generated:
    """A file made for the origin at which the service was asked.

    Args:
        media_type: What it holds.
        make: Gives its text for an origin such as ``https://localhost:8347``; a manifest raises
            :class:`~stillbook.hosts.host.HostError` where that is not https.
    """

    media_type: str
    make: Callable[[str], str]


def _functions_json(origin: str) -> str:
    return json.dumps(metadata(formulas(), f"{origin}/panel/"), ensure_ascii=False, indent=1)


def _facts(_: str) -> str:
    facts = {
        "VERSION": __version__,
        "NAMESPACE": NAMESPACE,
        "NAMES": list(formulas()),
        "CAUTIONS": list(CAUTIONS),
        "MATERIAL_WORDS": dict(other_words()),
    }
    return "".join(f"export const {name} = {json.dumps(value)};\n" for name, value in facts.items())


def _task_pane(_: str) -> str:
    """The page, with the scripts that a spreadsheet needs before that of the panel."""
    page = files("stillbook").joinpath("hosts/browser/index.html").read_text("utf-8")
    scripts = f'<script src="{OFFICE_SCRIPT}"></script>\n<script type="module" src="functions.js"></script>\n'
    before, found, after = page.partition(_HEAD)
    assert found, "index.html does not load the panel's script"
    return before + scripts + found + after


GENERATED: Final[Mapping[str, Generated]] = {
    "functions.json": Generated("application/json", _functions_json),
    "facts.js": Generated("text/javascript", _facts),
    "taskpane.html": Generated("text/html", _task_pane),
    "manifest.xml": Generated("application/xml", manifest),
}
"""By their names under ``/panel/``."""

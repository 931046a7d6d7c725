"""What is found by words: the entries of all pages, and the script that finds them without a network.

How words are weighed, and which other words of the trade mean the same, is the panel's, in
``hosts/browser/parts/search.js`` and ``words.js``. A page that was opened from a file may load no modules, so they are
put into one plain script with the entries.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import asdict, replace
from importlib.resources import files

from stillbook.manual.page import Entry


def script(entries: Iterable[Entry]) -> str:
    """The script of every page."""
    listed = json.dumps([asdict(entry) for entry in _once(entries)], ensure_ascii=False, separators=(",", ":"))
    parts = [
        *(_plain(f"hosts/browser/parts/{name}.js") for name in ("words", "search")),
        f"const ENTRIES = {listed};\n",
        _read("manual/search_box.js"),
    ]
    return '(() => {\n"use strict";\n' + "\n".join(parts) + "})();\n"


def _once(entries: Iterable[Entry]) -> Iterable[Entry]:
    """Each thing once: what several templates share leads to the first, and its kind names them all."""
    found: dict[tuple[str, str], Entry] = {}
    for entry in entries:
        key = (entry.name, entry.summary)
        kind, _, place = entry.kind.partition(", ")
        first = found.get(key)
        if first is None:
            found[key] = entry
        elif first.kind.startswith(kind):
            found[key] = replace(first, kind=f"{first.kind}, {place}")
    return found.values()


def _plain(file: str) -> str:
    """A module of the panel as plain script."""
    return re.sub(r"^export ", "", re.sub(r"^import .*\n", "", _read(file), flags=re.MULTILINE), flags=re.MULTILINE)


def _read(file: str) -> str:
    return files("stillbook").joinpath(file).read_text("utf-8")

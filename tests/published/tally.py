"""How many rows there are to check against, by area and by how their figures are known: ``python tests/published/tally.py``."""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

HOW = ("print", "copy", "computed", "trade", "memory")
"""Seen in print or a public file, seen copied out of print, computed apart, a fact of the trade, from memory."""


def how(confidence: str) -> str:
    """How a figure is known, by the words that stand beside it; memory counts wherever it has a part.

    >>> [how(words) for words in ("seen", "seen copied out", "computed; coefficients from memory", "exact")]
    ['print', 'copy', 'memory', 'computed']
    """
    for known, words in (
        ("memory", ("memory",)),
        ("copy", ("copied out", "reproduced", "open data", "open-source")),
        ("print", ("seen", "print", "definition")),
        ("computed", ("computed", "exact")),
    ):
        if any(word in confidence for word in words):
            return known
    return "trade"


def tally(folder: Path) -> dict[str, Counter[str]]:
    """The rows of each file by how they are known."""
    found = {}
    for path in sorted(folder.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            found[path.stem] = Counter(how(row["confidence"]) for row in csv.DictReader(file))
    return found


def main() -> None:
    rows = tally(Path(__file__).parent)
    widest = max(map(len, rows))
    print(f"{'':{widest}}  " + "  ".join(f"{name:>13}" for name in HOW))
    for name, counts in (*rows.items(), ("all", sum(rows.values(), Counter()))):
        print(f"{name:{widest}}  " + "  ".join(f"{counts[known] or '-':>13}" for known in HOW))


if __name__ == "__main__":
    main()

"""Printed figures to check against: each CSV beside this module holds inputs and answers, with their source."""

import csv
import json
from pathlib import Path
from typing import Any

import pytest


def rows(name: str) -> list[dict[str, str]]:
    """The rows of ``<name>.csv``, each with a source and a confidence."""
    with Path(__file__).with_name(f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file, strict=True))
    assert found and all(row["source"] and row["confidence"] for row in found)
    return found


def cases(name: str) -> list[Any]:
    """The rows of ``<name>.csv`` as test parameters: formula, arguments as a cell gives them, expected, tolerance."""
    return [
        pytest.param(
            row["formula"],
            json.loads(row["arguments"]),
            float(row["expected"]),
            float(row["tolerance"]),
            id=row["case"],
        )
        for row in rows(name)
    ]

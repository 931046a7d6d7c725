"""The demo estimate: an invented client and room in the booth template."""

from __future__ import annotations

import datetime
import tomllib
from importlib.resources import files
from typing import Any, Final

TEMPLATE: Final = "booth-estimate"


def values() -> dict[str, Any]:
    """The inputs of the demo, dated today; sizes carry their units and so suit both unit systems."""
    text = files("stillbook").joinpath("data/demo.toml").read_text("utf-8")
    today = datetime.date.today()
    return {**tomllib.loads(text), "estimate_date": today, "revision_date_1": today}

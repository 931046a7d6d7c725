"""The templates that come with Stillbook: their names, and where their workbooks lie."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from stillbook.quantities import SYSTEMS, System

ONCE_CALLED: Final = {"Job price": "Price", "Unit costs": "Prices"}
"""Sheets of the templates that had another name in an earlier version, with that name."""

ONCE_TYPED: Final = {"wall_found": "wall_far_material_1", "ceiling_found": "ceiling_far_material_1"}
"""Inputs that choose by a name what a job of an earlier version has typed, with an input that it had for that: such a job
keeps what is typed, a blank that says that nothing is there included, and chooses no name."""


@dataclass(frozen=True, slots=True)
class Template:
    """A shipped template.

    Args:
        name: Its name on the command line.
        summary: What it is for, in one line.
        version: Raised with each release in which an estimator notices that it changed: an input, a check, a line.
    """

    name: str
    summary: str
    version: int = 1

    def path(self, system: System) -> Path:
        """Where the workbook of this template in that unit system lies."""
        return folder() / f"{self.name.replace('-', '_')}_{system.lower()}.xlsx"

    @property
    def systems(self) -> tuple[System, ...]:
        """The unit systems in which the workbook is in place."""
        return tuple(system for system in SYSTEMS if self.path(system).is_file())


TEMPLATES: Final = (
    Template("quick-quote", "A first price on one page while the client is on the telephone, and one page to send", version=2),
    Template("booth-estimate", "One new room inside a room: shell, doors, air, ducts, take-off, price, proposal", version=2),
    Template("room-conversion", "An existing room isolated: new leaves on walls, ceiling, floor, with window and door", version=2),
    Template("door-schedule", "Many doors, a row each: mass, make-up, hinges, gap, STC, price, what to order", version=2),
    Template("air-schedule", "Many rooms on one fan, a row each: airflow, CO2, heat, ducts, noise", version=2),
    Template("price-book", "The office's costs, rates, suppliers and price levels, and assemblies made of them", version=2),
    Template("bid-comparison", "Contractors' bids beside each other and our estimate, alike in scope"),
)


def folder() -> Path:
    """The folder of the shipped workbooks: inside an installed package, at the top of a source checkout."""
    package = Path(__file__).parents[1]
    inside = package / "workbook_templates"
    return inside if inside.is_dir() else package.parents[1] / "workbook_templates"


def template(name: str) -> Template:
    """The template of that name, in any letter case, with ``-`` or ``_``.

    Raises:
        LookupError: If there is none; the message lists those there are.
    """
    wanted = name.strip().lower().replace("_", "-")
    for entry in TEMPLATES:
        if entry.name == wanted:
            return entry
    known = ", ".join(entry.name for entry in TEMPLATES)
    raise LookupError(f'there is no template "{name[:60]}": choose one of {known}')

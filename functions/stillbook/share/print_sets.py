"""Sets of prints: which sheets of a workbook go to the client, to those who build, and into the office's own file.

A workbook says so itself, with names: the pages for a client and a contractor are those that a shared copy shows them
(:mod:`stillbook.share.shown`), further sheets for the site bear the name ``printed_for_site``, and what nobody needs on
paper bears ``never_printed``.
"""

from __future__ import annotations

from stillbook.share.shown import shown_sheets
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import MAIN
from stillbook.workbook.job.audience import FOR_SITE, NEVER_PRINTED, Audience, PrintSet, name_for

_READERS: dict[PrintSet, Audience] = {"client": "client", "site": "contractor"}


def sheets_of_set(package: Package, wanted: PrintSet) -> list[str]:
    """The sheets of a set of prints, in the order of the workbook.

    The pages that leave the office are made to print no more than the cells their reader may be shown.

    Args:
        package: The workbook; what its pages print is changed in it.
        wanted: Which set.

    Raises:
        WorkbookError: If the workbook has no sheet for this set, or does not say clearly what its reader may see.
    """
    visible = _visible(package)
    if wanted == "office":
        chosen = visible - _named(package, NEVER_PRINTED)
        found = [sheet for sheet in package.sheets if sheet in chosen and _holds_something(package, sheet)]
    else:
        also = _named(package, FOR_SITE) & visible if wanted == "site" else set()
        never = _named(package, NEVER_PRINTED)
        every = _shown(package, _READERS[wanted], needed=not also)
        shown = {sheet: areas for sheet, areas in every.items() if sheet not in never}
        for sheet, areas in shown.items():
            _print_only(package, sheet, areas, _READERS[wanted])
        found = [sheet for sheet in package.sheets if sheet in shown or sheet in also]
    if not found:
        raise WorkbookError(f"it has no sheet to print for the {wanted}: show a sheet that holds something")
    return found


def _shown(package: Package, reader: Audience, *, needed: bool) -> dict[str, tuple[Area, ...]]:
    if not needed and not _named(package, name_for(reader)):
        return {}
    return {sheet: view.areas for sheet, view in shown_sheets(package, package.parts(), reader).items()}


def _print_only(package: Package, sheet: str, areas: tuple[Area, ...], reader: Audience) -> None:
    """Let a sheet print some blocks of its cells and nothing else."""
    if package.print_areas(sheet):
        package.set_print_areas(sheet, areas)
    elif not all(any(area.holds(*at) for area in areas) for at in package.sheet(sheet).stored):
        raise WorkbookError(
            f"the sheet {sheet} would print cells that a {reader} is not shown: set its print area to the cells with "
            f"the name {name_for(reader)}"
        )


def _named(package: Package, wanted: str) -> set[str]:
    """The sheets that bear a name of their own."""
    return {name.sheet for name in package.names if name.name.casefold() == wanted and name.sheet}


def _visible(package: Package) -> set[str]:
    parts = package.parts()
    sheets = parts.tree(parts.workbook).iter(f"{{{MAIN}}}sheet")
    return {sheet.get("name", "") for sheet in sheets if sheet.get("state", "visible") == "visible"}


def _holds_something(package: Package, sheet: str) -> bool:
    """Whether a sheet holds a value or a drawing."""
    parts = package.parts()
    part = parts.sheets().get(sheet)
    if part is None:
        return False
    return bool(package.sheet(sheet).stored) or parts.tree(part).find(f"{{{MAIN}}}drawing") is not None

"""Who outside the office may be shown a workbook, and the names by which a workbook says what they may see."""

from __future__ import annotations

from typing import Final, Literal

Audience = Literal["client", "contractor"]

AUDIENCES: Final[tuple[Audience, ...]] = ("client", "contractor")

OFFICE_ONLY: Final = "office_only"
"""The defined name by which a workbook says that nobody outside the office may see any of it."""

DRAFT_MARK: Final = "draft_mark"
"""The defined name, of a sheet's own, of the cell that says that the sheet is a draft while a check denies."""


PrintSet = Literal["client", "site", "office"]

PRINT_SETS: Final[tuple[PrintSet, ...]] = ("client", "site", "office")

FOR_SITE: Final = "printed_for_site"
"""The defined name, of a sheet's own, by which a sheet without prices says that those who build need it on paper."""

NEVER_PRINTED: Final = "never_printed"
"""The defined name, of a sheet's own, by which a sheet says that nobody needs it on paper: only typed, or looked up."""


NOTHING: Final = "A1"
"""The blank cell that such a sheet prints."""


def name_for(audience: Audience) -> str:
    """The defined name that refers to the cells an audience is shown."""
    return f"shown_to_{audience}"

"""The pages of one quiet room, alike for a new room in a room and for an existing room that is isolated."""

from __future__ import annotations

from typing import Final

LATER_SHEETS: Final = ("Room", "Air", "Ducts", "Air path", "Wiring", "Take-off", "Price", "Alternates", "Prices", "Proposal", "Scope", "Checks", "Lists")
"""The sheets after those on the shell, in their order."""

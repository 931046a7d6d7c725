"""The words of caution: those that every template and every shared copy shows, and those of single pages."""

from typing import Final

CAUTIONS: Final = (
    "Estimate, not a certified design. Laboratory and field results differ, and so do two builders' hands.",
    "Air: fresh air in a sealed room is a life-safety matter. An alarm must tell when the fan stops, and the door must "
    "open from inside at once, without a key.",
    "Weight: heavy doors and sheets need a crew, rated hinges and fixings. Floor loads go to a structural engineer.",
    "Lead: local rules, gloves, no sanding or sawing, washing before eating.",
    "Electrical work, fire-stopping and the way out: local codes and licensed trades.",
)
"""What every template and every shared copy shows."""

HEAVY_DOORS: Final = (
    "Caution: doors of this weight need a crew, frames fixed to structure and hinges rated for the load. Lead: local "
    "rules, gloves, no sanding. A door must open from inside without a key; width and way out are for the local code. "
    "A person who lies behind a door that opens inward blocks rescue: open it outward, or let it come off from outside."
)

SEALED_AIR: Final = (
    "Caution: fresh air in a sealed room is a life-safety matter. When the fan stops, the people inside must know at "
    "once and be able to leave: an alarm, a door that opens from inside without a key, no lock that traps. The local "
    "code decides."
)

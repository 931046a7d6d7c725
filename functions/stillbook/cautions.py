"""The cautions every template and every shared copy shows."""

from typing import Final

CAUTIONS: Final = (
    "Estimate, not a certified design. Laboratory and field results differ, and so do two builders' hands.",
    "Air: fresh air in a sealed room is a life-safety matter. An alarm must tell when the fan stops, and the door must "
    "open from inside at once, without a key.",
    "Weight: heavy doors and sheets need a crew, rated hinges and fixings. Floor loads go to a structural engineer.",
    "Lead: local rules, gloves, no sanding or sawing, washing before eating.",
    "Electrical work, fire-stopping and the way out: local codes and licensed trades.",
)

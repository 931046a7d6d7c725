"""A branch of the schedule: its pressure, what it takes off the sound of the fan, and the sound the air makes in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from stillbook.templates.calls import nth
from stillbook.templates.parts.octaves import SILENT

AFTER_THE_BOX: Final = ("split", "duct", "elbows", "end")
"""What lies between the box after the fan and the room, in the order of the air."""

NOISY: Final = ("split", "duct", "elbows")
"""Elements in which the air makes sound of its own; that of a grille is the maker's to state."""


def box_loss(length: str = "box_length") -> str:
    """What the lined box after the fan takes off, as a call that gives eight octaves."""
    area = "main_width*main_height"
    return f"STILL_BAFFLEBOXLOSS({length},box_width,box_height,{area},{area},box_lining,(box_width-main_width)/2,units)"


@dataclass(frozen=True)
class Branch:
    """A branch, or all of them, by the names or formulas of what describes it."""

    airflow: str = "{airflows}"
    width: str = "{duct_widths}"
    height: str = "{duct_heights}"
    length: str = "{duct_lengths}"
    elbows: str = "{elbow_counts}"
    grille_width: str = "{grille_widths}"
    grille_height: str = "{grille_heights}"
    area: str = "{duct_areas}"
    all_areas: str = "SUM(duct_areas)"
    passing: str = "fan_airflow"
    """Air in the main duct where the branch leaves it: all of the fan's, as past the first take-off."""

    def pressures(self) -> Mapping[str, str]:
        """Pressure that each element takes."""
        return {
            "split": self._fitting("entrance", "1"),
            "duct": f'STILL_DUCTLOSS({self._duct},{self.length},"lined",units)',
            "elbows": f"IF({self.elbows}=0,0,{self._fitting('square elbow', self.elbows)})",
            "end": self._fitting("exit", "1"),
        }

    def losses(self) -> Mapping[str, str]:
        """Sound that each element takes off, in one octave."""
        return {
            "split": nth(f"STILL_BRANCHLOSS({self.area},{self.all_areas},units)"),
            "duct": nth(self._duct_loss),
            "elbows": f"IF({self.elbows}=0,0,{nth(self._elbow_loss)})",
            "end": nth(f"STILL_ENDREFLECTION({self.grille_width},{self.grille_height},open_end,units)"),
        }

    def noises(self) -> Mapping[str, str]:
        """Sound power that the air makes in each element, in one octave; a take-off of no stated edge counts as an elbow."""
        elbow = nth(self._air_noise("square elbow"))
        return {
            "split": _by_edge(elbow, nth(self._junction)),
            "duct": nth(self._air_noise("duct")),
            "elbows": f"IF({self.elbows}=0,{SILENT},{elbow}+10*LOG10(MAX(1,{self.elbows})))",
        }

    def made(self, elbow_noises: str) -> str:
        """Sound power that the air makes on the way, as it leaves the end, in one octave; its elbows' stands in cells."""
        as_elbow, as_junction = (self._made(call, elbow_noises) for call in (self._air_noise("square elbow"), self._junction))
        return f"{_by_edge(as_elbow, as_junction)}-{self.losses()['end']}"

    def _made(self, split: str, elbow_noises: str) -> str:
        """The same before the end, with the sound that is made at the split given by a call."""
        straight = f"STILL_PATHLEVEL({split},{self._duct_loss},{self._air_noise('duct')},300)"
        turned = f"STILL_PATHLEVEL({straight},{self._elbow_loss},{elbow_noises},300)"
        return f"IF({self.elbows}=0,{nth(straight)},{nth(turned)})"

    @property
    def _junction(self) -> str:
        """Sound power that the air makes where it turns off the main duct."""
        return f"STILL_JUNCTIONNOISE({self._duct},{self.passing},main_width,main_height,takeoff_edge,units)"

    @property
    def _duct_loss(self) -> str:
        return f"STILL_LINEDDUCTLOSS({self.width},{self.height},{self.length},duct_lining,units)"

    @property
    def _elbow_loss(self) -> str:
        return f"STILL_ELBOWLOSS({self.width},duct_lining,{self.elbows},units)"

    @property
    def _duct(self) -> str:
        """Airflow and size of the duct, as arguments."""
        return f"{self.airflow},{self.width},{self.height}"

    def _fitting(self, kind: str, count: str) -> str:
        return f'STILL_FITTINGLOSS({self._duct},"{kind}",{count},"lined",units)'

    def _air_noise(self, element: str) -> str:
        return f'STILL_AIRFLOWNOISE({self._duct},"{element}",units)'


def _by_edge(as_elbow: str, as_junction: str) -> str:
    """What counts for a take-off: an elbow, or a junction where its edge is told."""
    return f'IF(takeoff_edge="",{as_elbow},{as_junction})'


def lost(losses: Mapping[str, str]) -> str:
    """What all elements take off together."""
    return "+".join(losses[key] for key in AFTER_THE_BOX)


def made(losses: Mapping[str, str], noises: Mapping[str, str]) -> str:
    """Sound power that the air makes on the way, as it leaves the end, in one octave."""
    parts = []
    for key in NOISY:
        after = [losses[later] for later in AFTER_THE_BOX[AFTER_THE_BOX.index(key) + 1 : -1]]
        parts.append(f"10^(({'-'.join([noises[key], *after])})/10)")
    return f"10*LOG10({'+'.join(parts)})-{losses['end']}"

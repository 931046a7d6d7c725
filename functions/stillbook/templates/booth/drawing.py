"""What is drawn of a booth: its baffle boxes in plan and section, and its wall to a larger scale."""

from __future__ import annotations

from typing import Final

from stillbook.templates.page import Book
from stillbook.templates.parts.inputs import ON_TOP
from stillbook.templates.parts.room_drawing import Boxes
from stillbook.templates.parts.wall_drawing import Layer, boards, gap, studs

BOXES: Final = Boxes(
    "MIN(baffle_outer_width,baffle_outer_height)",
    "baffle_length",
    'IF(OR(check_fits_boxes="Fails",check_fits_shell="Fails"),0,1)',
    f'IF(box_place="{ON_TOP}",1,0)',
)


def wall(book: Book) -> list[Layer]:
    """The wall of a booth, from outside in."""
    return [
        *boards("outer", "Outer leaf", outward=True),
        studs(book, "Outer frame", "stud_depth"),
        gap(book, "Gap between the frames", "frame_gap", "gap, nothing bridges it:"),
        studs(book, "Inner frame", "stud_depth"),
        *boards("inner", "Inner leaf", outward=False),
    ]

"""Proposal: what the client gets of a booth."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import ROOM_LENGTH, SURFACE_MASS
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.check_sheet import denies, passes
from stillbook.templates.parts.letter import sentences, shell, size
from stillbook.templates.parts.quiet_room import sizes
from stillbook.templates.parts.quiet_room.proposal import doors_air_power

PURPOSE: Final = "A quiet room inside a room: what you get, on what terms, and its price."


def what_is_built(book: Book, page: Page) -> None:
    """The same sentences about the room that the client reads."""
    room(book, page, "What is built")
    unit = book.unit(ROOM_LENGTH)
    spans = f'"Joists span "&TEXT(joist_span_inner,"0.0")&" {unit} inside and "&TEXT(joist_span_outer,"0.0")&" {unit} outside: {sizes.SECTION}."'
    sizes.write(book, page, spans)


def room(book: Book, page: Page, title: str = "What you get") -> None:
    """What is built, in sentences, over the width of any page."""
    page.heading(title)
    sentences(page, *shell(book))
    sentences(page, _place(book), _load(book))
    doors_air_power(book, page)
    page.skip()


def _place(book: Book) -> str:
    """Whether it finds its place in the space, in a sentence."""
    sides = tuple(f"check_fits_{side}" for side in ("length", "width", "height"))
    boxes = ("check_fits_boxes", "check_fits_shell")
    space = f'{size("space")}&" {book.unit(ROOM_LENGTH)}'
    lacks = "&".join(
        f'IF({denies(*names)},"{what}, ","")'
        for names, what in ((("check_fits_working",), "to build it"), (("check_fits_door",), "to open its outer door"), (boxes, "for its air boxes"))
    )
    return (
        f"=IF({passes(*sides, 'check_fits_working', 'check_fits_door', *boxes)},"
        f'"It fits the space of "&{space}, with room to build it, to open its door and to service its boxes.",'
        f'IF({denies(*sides)},IF(COUNT(space_length,space_width,space_height)<3,"As drawn it does not fit the space it stands in.",'
        f'"As drawn it does not fit the space of "&{space}."),'
        f'IF({denies("check_fits_working", "check_fits_door", *boxes)},"As drawn there is too little room in the space "&{lacks}&"which must be solved first.",'
        '"Whether it fits is not known: the space it stands in is not measured yet.")))'
    )


def _load(book: Book) -> str:
    """What it puts on the floor, in a sentence."""
    unit = book.unit(SURFACE_MASS)
    return (
        '=IF(check_floor="Error","What it puts on the floor is not known.",'
        f'"It puts "&TEXT(floor_load,"0")&" {unit} on the floor: "&'
        f'IF(check_floor="Passes","within the "&TEXT(floor_capacity,"0")&" {unit} told for it, to be confirmed by an engineer.",'
        f'IF(check_floor="Fails","more than the "&TEXT(floor_capacity,"0")&" {unit} it may carry. Stop, and ask a structural engineer.",'
        '"whether the floor carries that is not known.")))'
    )

"""Sizes that whoever prices the lines of a scope needs to know, in sentences."""

from __future__ import annotations

from stillbook.quantities import AIRFLOW, LENGTH, MASS, PRESSURE, ROOM_LENGTH
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.letter import sentences
from stillbook.templates.parts.quiet_room.air_ways import HAS_FAN, HAS_NO_BOX

SECTION = "section by the span, as the local code asks"
"""What is left to say of joists that no formula here sizes."""


def write(book: Book, page: Page, joists: str) -> None:
    """Write them; ``joists`` is the formula of the words about the joists."""
    large, small, mass = book.unit(ROOM_LENGTH), book.unit(LENGTH), book.unit(MASS)
    flow, loss = book.unit(AIRFLOW), book.unit(PRESSURE)
    fine, heavy = book.pick("0.0#", "0"), book.pick("0.00", "0")
    page.heading("Sizes")
    sentences(
        page,
        f'="Boards in sheets of "&TEXT(sheet_width,"0.0#")&" × "&TEXT(sheet_height,"0.0#")&" {large}; studs "&TEXT(stud_depth,"{fine}")'
        f'&" {small} deep, "&TEXT(stud_spacing,"0")&" {small} apart; cavity wool: "&wool_material&"."',
        f"={joists}",
        f'="Door leaves of "&TEXT(door_width,"{fine}")&" × "&TEXT(door_height,"{fine}")&" {small}, slabs of "&TEXT(slab_mass,"0")'
        f'&" {mass} before sheets are added."',
        f'="Ducts "&TEXT(duct_width,"0")&" × "&TEXT(duct_height,"0")&" {small} inside, lined "&TEXT(duct_lining,"{fine}")&" {small}; '
        f'grilles "&TEXT(grille_width,"0")&" × "&TEXT(grille_height,"0")&" {small}; "&IF({HAS_NO_BOX},"box","boxes")&" "&TEXT(baffle_length,"0")'
        f'&" × "&TEXT(baffle_outer_width,"0")&" × "&TEXT(baffle_outer_height,"0")&" {small} outside, "&baffle_passes&" passes."',
        f'="Fans: supply fan "&TEXT(airflow,"0")&" {flow} at "&TEXT(fan_system_loss,"{heavy}")&" {loss}"'
        f'&IF({HAS_FAN},"; fan of the way out "&TEXT(way_out_airflow,"0")&" {flow} at "&TEXT(return_loss,"{heavy}")&" {loss}","")&"."',
    )
    page.skip()

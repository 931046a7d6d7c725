"""Offer: the page to send, without costs and rates."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AIRFLOW, LENGTH, MASS, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.bands import LOW_END
from stillbook.templates.parts.check_sheet import denies, passes
from stillbook.templates.parts.letter import LICENSED, NOT_INCLUDED, SEALED, VALID_AND_TAX, WEIGHT, amount, parties, sentence, sentences, shell
from stillbook.templates.parts.room_drawing import Views

FITS: Final = ("check_fits_height", "check_fits_plan", "check_fits_door")


def write(book: Book, views: Views) -> Page:
    """Write the sheet."""
    page = book.page("Offer", "A quiet room inside a room: a first price, before the space is surveyed.", (24, 22, 18, 18, 16), single=True)
    parties(page, revisions=False)
    _room(book, page)
    views.place(page, FIRST + 2)
    page.heading("Price")
    # The currency stands in the label: this template counts its formulas.
    amount(page, '="First price, "&IF(tax_amount=0,"","tax included, ")&currency', "=price", strong=True)
    page.sheet.cell(page.at - 1, page.last_column - 1).value = None
    page.sheet.cell(page.at - 1, page.last_column).number_format = look.MONEY
    page.skip()
    sentence(
        page,
        '="Before the space is surveyed it may come to between "&TEXT(price_from,"#,##0")&" and "'
        '&TEXT(price_to,"#,##0")&" "&currency&". A full estimate follows the survey, and takes its place."',
        2,
    )
    sentence(page, VALID_AND_TAX)
    sentence(page, NOT_INCLUDED, 2)
    page.skip()
    notes = ("This is a first price, not a certified design. Sound isolation in a building differs from laboratory figures.", SEALED, WEIGHT, LICENSED)
    page.cautions("Please note", notes)
    page.finish(page.at - 1)
    page.show_to("client")
    return page


def _room(book: Book, page: Page) -> None:
    flow = book.unit(AIRFLOW)
    page.heading("What you get")
    whom = 'people&IF(people=1," person"," people")'
    sentences(
        page,
        *shell(book),
        f'=IF({passes(*FITS)},"It fits the space that was described.",'
        f'IF({denies(*FITS)},"As drawn it does not fit the space that was described.",'
        '"Whether it fits is not known: the space is not measured yet."))',
        '=IF(door_arrangement="pair","A pair of sealed doors, one in each wall, each about "&TEXT(door_mass,"0")'
        f'&" {book.unit(MASS)}","One heavy sealed door of about "&TEXT(door_mass,"0")&" {book.unit(MASS)}")'
        f'&IF({denies("check_door_swings")},"; the inner one cannot swing","")&IF({denies("check_door_thickness")},"; too thick for hinges and latch","")'
        f'&IF({denies("check_door_under")},"; no such door fits the room","")&"."',
    )
    sentence(
        page,
        f'="Isolation between the room and the space around it: STC "&stc_from_to&" (predicted, not measured)"&IF({denies("check_isolation")},'
        f'", under the STC "&TEXT(stc_target,"0")&" asked for",'
        f'IF({LOW_END}<stc_target,", its low end under the STC "&TEXT(stc_target,"0")&" asked for",""))&"."',
        2,
    )
    sentences(
        page,
        f'=IF({passes("check_air", "check_co2")},"Fresh air for "&{whom},IF({denies("check_air", "check_co2")},"Air, not enough for "&{whom},'
        f'"Air, not known to be enough, for "&{whom}))&": "&TEXT(airflow,"0")&" {flow}, in lined ducts of "&TEXT(duct_width,"0")&" × "&TEXT(duct_height,"0")'
        f'&" {book.unit(LENGTH)} through baffle boxes."',
        "Inside: walls, ceiling and floor finished and treated; power, light and sealed cable entries.",
        "Two fans with their control, cooling, and an alarm that tells when the air stops.",
        f'="It puts "&TEXT(floor_load,"0")&" {book.unit(SURFACE_MASS)} on the floor: "&'
        f'IF({passes("check_floor")},"within what was told for it, to be confirmed by an engineer.",'
        f'IF({denies("check_floor")},"more than it may carry. Stop, and ask a structural engineer.","whether the floor carries that is not known."))',
    )
    page.skip()

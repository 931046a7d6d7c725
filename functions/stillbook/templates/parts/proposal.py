"""Proposal: the page for the client. It shows no cost, margin or rate."""

from __future__ import annotations

from collections.abc import Callable

from stillbook.quantities import AIRFLOW, AREA, LENGTH, MASS, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import alternates, cautions
from stillbook.templates.parts.quiet_room.air_ways import HAS_NO_BOX

PURPOSE = "A quiet room, built inside the space you have."
NOT_INCLUDED = (
    "Not included: permits, a structural engineer's check of the floor, changes to the building's own walls, power supply or "
    "ventilation, moving of furniture, and anything not named above."
)
VALID = (
    '=IF(N(estimate_date)=0,"The price stands for "&valid_days&" days from the date of this proposal.",'
    '"The price stands until "&TEXT(estimate_date+valid_days,"yyyy-mm-dd")&".")'
)
WEIGHT = "The shell is heavy. A structural engineer must confirm that the floor carries it before work starts."


def write(book: Book, room: Callable[[Book, Page], None], purpose: str = PURPOSE, not_included: str = NOT_INCLUDED, weight: str = WEIGHT) -> Page:
    """Write the sheet; ``room`` writes what the client gets."""
    page = book.page("Proposal", purpose, (24, 22, 18, 18, 16), single=True)
    parties(page)
    room(book, page)
    _terms(page, not_included, weight)
    _price(page)
    alternates.say(page, "proposal", amounts=True)
    page.finish(page.at - 1)
    page.show_to("client")
    return page


def _line(page: Page, label: str, formula: str, number_format: str = look.GENERAL) -> None:
    row = page.at
    page.put(row, FIRST, label, font=look.QUIET, align=look.LEFT)
    cell = page.put(row, FIRST + 1, formula, number_format=number_format)
    cell.alignment = look.LEFT
    page.merge(row, FIRST + 1)
    page.sheet.row_dimensions[row].height = 17
    page.at += 1


def optional(prepared_by: str) -> tuple[tuple[str, str], ...]:
    """Label and value of the reference and of who prepared it, as far as they are filled in: no gap for a blank one."""
    return (
        (f'=IF(reference<>"","Reference",IF(prepared_by="","","{prepared_by}"))', '=IF(reference<>"",reference,IF(prepared_by="","",prepared_by))'),
        (f'=IF(OR(reference="",prepared_by=""),"","{prepared_by}")', '=IF(OR(reference="",prepared_by=""),"",prepared_by)'),
    )


def dated(revisions: bool = True) -> str:
    """The date, and after it the revision where the template has them."""
    date = '=IF(N(estimate_date)=0,"(date not filled in)",TEXT(estimate_date,"yyyy-mm-dd"))'
    return f"{date}&revision_words" if revisions else date


def parties(page: Page, *, revisions: bool = True) -> None:
    """Write for whom it is, what for, when and by whom."""
    _line(page, "For", '=IF(client="","(client not filled in)",client)')
    _line(page, "Project", '=IF(project="","(project not filled in)",project)')
    _line(page, "Date", dated(revisions))
    for label, formula in optional("Prepared by"):
        _line(page, label, formula)
    page.skip()


def sentence(page: Page, formula: str, lines: int = 1) -> None:
    """Write words, or a formula that gives them, over the width of the page."""
    row = page.at
    cell = page.put(row, FIRST, formula)
    cell.alignment = look.TOP_LEFT if lines > 1 else look.LEFT
    page.merge(row, FIRST)
    page.sheet.row_dimensions[row].height = 14.5 * lines + 3
    page.at += 1


def sentences(page: Page, *formulas: str) -> None:
    """Write sentences of one line each."""
    for formula in formulas:
        sentence(page, formula)


def amount(page: Page, label: str, formula: str, *, strong: bool = False) -> None:
    """Write a sum of money at the right end of a row."""
    row, font, border = page.at, look.STRONG if strong else look.BODY, look.TOTAL_ROW if strong else look.ROW
    page.rule(row, border)
    page.put(row, FIRST, label, font=font, border=border).alignment = look.UNWRAPPED
    page.put(row, page.last_column - 1, "=currency", font=look.QUIET, border=border)
    page.put(row, page.last_column, formula, font=font, number_format=look.PRICE, border=border)
    page.sheet.row_dimensions[row].height = 18
    page.at += 1


def room(book: Book, page: Page, title: str = "What you get") -> None:
    """What is built, in sentences, over the width of any page."""
    length = book.unit(ROOM_LENGTH)
    one = '"0.0"'
    page.heading(title)
    size = f'TEXT({{0}}_length,{one})&" × "&TEXT({{0}}_width,{one})&" × "&TEXT({{0}}_height,{one})&" {length}"'
    sentences(
        page,
        f'="A room inside a room: "&{size.format("room")}&" inside, "&{size.format("outside")}&" outside, on its own floor."',
        '="Two separate walls with nothing bridging them: "&TEXT(inner_mass,"0.0")&" and "&TEXT(outer_mass,"0.0")'
        f'&" {book.unit(SURFACE_MASS)}, with a filled cavity of "&TEXT(cavity,"0")&" {book.unit(LENGTH)} between."',
    )
    doors_air_power(book, page)
    page.skip()


def doors_air_power(book: Book, page: Page) -> None:
    """What the client gets besides the shell."""
    flow = book.unit(AIRFLOW)
    sentences(
        page,
        '=IF(door_arrangement="pair","A pair of sealed doors, one in each wall, each about "&TEXT(inner_door_mass,"0")'
        f'&" {book.unit(MASS)}.","One heavy sealed door of about "&TEXT(single_door_mass,"0")&" {book.unit(MASS)}.")',
        '="Predicted isolation between the room and the space around it: STC "&stc_from_to&" ("&IF(lab_used=1,"from laboratory '
        'report "&lab_report,"predicted, not measured")&")."',
        f'="Fresh air for "&people&IF(people=1," person: "," people: ")&TEXT(airflow,"0")&" {flow}, "&TEXT(air_changes,"0")'
        f'&" air changes an hour, through lined ducts and "&IF({HAS_NO_BOX},"a baffle box","baffle boxes")&" so that it is not heard."',
    )
    treated = "wall_treatment+ceiling_treatment"
    sentences(
        page,
        f'="Inside: walls, ceiling and floor finished"&IF({treated}>0,", "&TEXT({treated},"0")&" {book.unit(AREA)} of '
        'acoustic treatment","")&IF(cooling_power>0,", and a cooling unit for the heat that fresh air does not take","")&"."',
        '="Power for "&(socket_count+light_count)&" points, sealed cable entries, and an alarm that tells when the air stops."',
    )


def _price(page: Page) -> None:
    page.heading("Price")
    described = '="As described above"&IF(COUNTIF(alternate_counts,"yes")>0,", with the accepted alternates","")'
    amount(page, described, "=price_before_tax")
    amount(page, "Tax", "=tax_amount")
    amount(page, "Total", "=price", strong=True)
    page.skip()
    reach = 'STILL_RATINGUNCERTAINTY("{}")'
    other = f'IF(door_arrangement="pair",{reach.format("door")},{reach.format("pair of doors")})'
    sentence(
        page,
        '=IF(door_arrangement="pair","Alternative: one heavy door instead of the pair, ","Alternative: a pair of doors instead of one, ")'
        '&IF(door_arrangement="pair",IF(price_single>price,"add ","deduct "),IF(price_pair>price,"add ","deduct "))'
        '&TEXT(ABS(IF(door_arrangement="pair",price_single,price_pair)-price),"#,##0.00")&" "&currency&", tax included. Predicted isolation then: STC "'
        f'&TEXT(other_doors_stc-{other},"0")&" to "&TEXT(other_doors_stc+{other},"0")&" instead of "&stc_from_to&"."',
        2,
    )
    page.skip()


def _terms(page: Page, not_included: str, weight: str) -> None:
    page.heading("Terms")
    sentences(
        page,
        VALID,
        '="Payment: "&TEXT(deposit_share,"0%")&" on order, "&TEXT(shell_share,"0%")&" when the shell stands, "'
        '&TEXT(1-deposit_share-shell_share,"0%")&" on completion."',
    )
    sentence(page, not_included, 2)
    page.skip()
    notes = (
        "This is an estimate, not a certified design. Sound isolation in a building differs from laboratory figures.",
        "The room is sealed: the fan must run while anyone is inside. When the alarm shows, open the door and leave.",
        weight,
        "Electrical work, fire-stopping and the way out follow local codes and are done by licensed trades.",
    )
    cautions.part(page, "Please note", notes)

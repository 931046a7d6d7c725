"""Inputs of a job: whom it is for, how its work is counted, what it needs besides what is drawn, and its price."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AREA, LENGTH, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import Book
from stillbook.workbook.job.inputs import InputSpec

OUTSIDE_ONLY: Final = ("outside_finish", "vision_width", "vision_height", "vision_report")
"""Inputs of work on a shell with an outside and a window of its own."""


def job(book: Book) -> list[InputSpec]:
    """Who the estimate is for."""
    return [
        book.input("client", "Client", "text", one_job=True).saying("Name as it stands on the proposal."),
        book.input("project", "Project", "text", one_job=True).saying("What the room is for, in a few words."),
        book.input("reference", "Reference", "text", optional=True, one_job=True).saying("Your own number for the job."),
        book.input("prepared_by", "Prepared by", "text", optional=True).saying("Name or office on the proposal."),
        book.input("estimate_date", "Date", "date", one_job=True).saying("Date of this estimate."),
        book.input("valid_days", "Valid for", "days", 30, 1, 365, whole=True).saying("Days the price stands."),
        book.input("currency", "Currency", "text", ("USD", "EUR")).saying("Shown beside every amount."),
    ]


def addresses(book: Book) -> list[InputSpec]:
    """Where the client and the office are found, for the head of the proposal."""
    return [
        book.input("client_address", "Client's address", "text", optional=True, one_job=True, longest=60).saying("Under the name on the proposal."),
        book.input("office_address", "Office's address", "text", optional=True, longest=90).saying("Under the place for your mark on the proposal."),
        book.input("bid_contact", "Whom bidders ask", "text", optional=True, longest=60).saying("Beside your office on the scope: a name, telephone or mail."),
        book.input("bid_due", "Bids are due", "date", optional=True, one_job=True).saying("Beside the date on the scope."),
    ]


def takeoff(book: Book) -> list[InputSpec]:
    """How boards, sealant and work are counted."""
    return [
        book.input("sheet_width", "Sheet width", ROOM_LENGTH, (4, 1.2), (1, 0.3), (6, 2)).saying("Boards as bought."),
        book.input("sheet_height", "Sheet height", ROOM_LENGTH, (8, 2.4), (3, 0.9), (16, 5)).saying(
            "Boards as bought; the Unit costs are of a sheet of this size."
        ),
        book.input("board_waste", "Waste, boards", "share", 0.15, 0, 1).saying("Small rooms cut more to waste than large ones."),
        book.input("framing_waste", "Waste, framing", "share", 0.1, 0, 1),
        book.input("sealant_bead", "Sealant bead", LENGTH, (0.375, 10), (0.1, 3), (1, 25), look.THREE).saying("Round bead, diameter."),
        book.input("sealant_waste", "Waste, sealant", "share", 0.15, 0, 1),
    ]


def besides(book: Book) -> list[InputSpec]:
    """What a job needs besides what is drawn: each none, or by a rule that is said."""
    lift = f"{book.pick('200', '18.5')} {book.unit(AREA)}"
    return [
        book.input("top_plates", "Plates at the head of a frame", "", 2, 1, 2, whole=True).saying("Two under joists that stand between studs."),
        book.input("outside_finish", "Outer walls finished", "share", 1, 0, 1).saying("Joints and paint on the share that is seen."),
        book.input("vision_width", "Vision window, width", LENGTH, 0, 0, (96, 2400)).saying("0 for none. Priced; not in the isolation worked out here."),
        book.input("vision_height", "Vision window, height", LENGTH, 0, 0, (96, 2400)).saying("0 for none."),
        book.input("vision_report", "Vision window, its report", "text", optional=True, one_job=True).saying(
            "Of the window's isolation, measured: without one its check fails."
        ),
        book.input("closer_count", "Doors with a closer", "", 0, 0, 2, whole=True).saying(
            "A heavy door that closes itself needs more force to open: codes limit it."
        ),
        book.input("line_run", "Cooling unit: lines and drain, run", ROOM_LENGTH, (25, 7.5), 0, (300, 90), look.ONE).saying(
            "To its outdoor part and to a drain; counts with a cooling unit."
        ),
        book.input("line_holes", "Holes for them", "", 1, 0, 10, whole=True).saying("Through each leaf; a leak like a cable hole. 0 without a cooling unit."),
        book.input("luminaire_count", "Luminaires", "", None, 0, 40, optional=True, whole=True).saying("Blank takes one for each light point."),
        book.input("fire_detection", "Fire detection or sprinkler", "", "by others", choices=("by others", "by us", "not needed")).saying(
            "A closed room often needs it: the local code decides. By others is said not to be included."
        ),
        book.input("old_vents", "Old vents to close", "", 0, 0, 40, whole=True).saying(
            "Closed and made good. A fuel-burning appliance may need one: ask first."
        ),
        book.input("lift_days", "Panel lift, hired for", "days", None, 0, 365, optional=True, whole=True).saying(
            f"Blank takes a day for each {lift} of new ceiling (common practice)."
        ),
        book.input("drawing_sets", "Sets of drawings", "", 1, 0, 20, whole=True),
        book.input("room_tests", "Tests of the finished room", "", 1, 0, 20, whole=True).saying("Level, isolation, airflow and the alarm."),
        book.input("crew", "Crew", "people", 2, 1, 20, whole=True).saying("Who work at the same time."),
        book.input("day_hours", "Working day", "h", 8, 1, 12, look.ONE),
        book.input("week_days", "Days a week", "", 5, 1, 7, whole=True),
        book.input("setup_share", "Delivery, protection, clearing up", "share", 0.06, 0, 1).saying("Hours, as a share of all other work's."),
        book.input("supervision_share", "Supervision", "share", 0.06, 0, 1).saying("Hours, as a share of all other work's."),
        book.input("travel_trips", "Trips to the site", "", None, 0, 500, optional=True, whole=True).saying("Blank takes one for each day of the crew."),
    ]


def price(book: Book) -> list[InputSpec]:
    """What stands between cost and price."""
    return [
        book.input("overhead", "Overhead on direct cost", "share", 0.12, 0, 1),
        book.input("contingency", "Contingency on cost", "share", 0.05, 0, 1).saying("On direct cost with overhead."),
        *level(book),
        book.input("margin", "Margin in the price", "share", 0.2, 0, 0.9).saying("Profit as a share of the price, not of the cost."),
        book.input("tax", "Sales tax", "share", (0.0, 0.2), 0, 0.5).saying("On the price."),
        book.input("budget", "Client's budget, with tax", "", None, 1, 10_000_000, look.MONEY, one_job=True, optional=True).saying(
            "In the currency of the price; blank where none is known."
        ),
        book.input("deposit_share", "Payment on order", "share", 0.4, 0, 1),
        book.input("shell_share", "Payment when the shell stands", "share", 0.4, 0, 1).saying("The rest on completion."),
    ]


def level(book: Book) -> list[InputSpec]:
    """The price level of the client, as a price book names it."""
    return [
        book.input("level_name", "Client's price level", "text", optional=True, one_job=True).saying(
            "As the price book names it; repricing at a level fills it in."
        ),
        book.input("level_markup", "Mark-up of that level", "share", 0, 0, 5, optional=True, one_job=True).saying(
            "On cost with overhead and contingency, before the margin; 0 for none."
        ),
    ]

"""Checks: whether the bids can be compared at all, and what to ask first."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS, name
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import check_sheet
from stillbook.templates.parts.check_sheet import AT_LEAST, AT_MOST, CheckRow


def write(book: Book) -> Page:
    """Write the sheet."""
    return check_sheet.write(book, (*_filled_in(), *_found()))


def _once(formula: str) -> str:
    """A value that waits for the first bid."""
    return f'=IF(bids_in=0,"",{formula})'


def _none(rule: str, count: str) -> CheckRow:
    """A rule on how many there are: none is right."""
    return CheckRow(rule, count, AT_MOST, "=0", look.WHOLE)


def _filled_in() -> list[CheckRow]:
    unnamed = "+".join(f'IF({name(letter)}="",COUNT(written_{letter.lower()}),0)' for letter in LETTERS)
    given = '(bidder_names<>"")'
    return [
        CheckRow("Project and date are filled in", '=IF(OR(project="",N(comparison_date)=0),"","yes")', number_format=look.GENERAL).advising(
            "Fill them in on the Inputs sheet."
        ),
        CheckRow("Lines asked for", '=IF(COUNT(asked_numbers)=0,"",COUNT(asked_numbers))', AT_LEAST, "=1", look.WHOLE).advising(
            "Type the lines of the scope on the Lines sheet."
        ),
        _none("Lines with words and no number", '=IF(COUNTA(asked_texts)=0,"",SUMPRODUCT((asked_numbers="")*(asked_texts<>"")))').advising(
            "Give each line its number: a row without one is not compared."
        ),
        _none(
            "Lines without quantity or our cost", '=IF(COUNT(asked_numbers)=0,"",SUMPRODUCT((asked_numbers<>"")*((asked_quantities="")+(asked_costs="")>0)))'
        ).advising("Fill them in: our cost stands beside the bids."),
        CheckRow("Bids", '=IF(bids_in=0,"",bids_in)', AT_LEAST, "=2", look.WHOLE).advising("One bid is no comparison: ask for another."),
        _none("Prices under a letter without a bidder", '=IF(COUNT(asked_numbers)=0,"",' + unnamed + ")").advising("Write who bids on the Bidders sheet."),
        _none("Bidders without a day of receipt", _once(f'SUMPRODUCT({given}*(bidder_dates=""))')).advising(
            "Write when each bid came in: a late bid may not count."
        ),
        _none("Bidders of whom it is not said whether tax is in", _once(f'SUMPRODUCT({given}*(bidder_taxes=""))')).advising(
            "Ask, and write yes or no on the Bidders sheet."
        ),
        _none("Tax is given where a bid includes it", _once(f'SUMPRODUCT({given}*(bidder_taxes="yes"))*(tax_rate=0)')).advising(
            "Write the rate on the Inputs sheet, so that it is taken out."
        ),
    ]


def _found() -> list[CheckRow]:
    def kind(word: str) -> str:
        return _once(f'SUMPRODUCT((found_kinds="{word}")*(found_places<>""))')

    return [
        _none("Lines without a price, in all bids", _once("SUM(bids_missing)")).advising(
            "Ask each bidder to price what is missing; until then the Summary sheet fills it in."
        ),
        _none("Lines nobody prices", _once('COUNTIF(lowest_bidders,"nobody")')).advising(
            "Ask whether the line is understood; it stands at our cost in every bid."
        ),
        _none("Changed quantities", kind("quantity")).advising("Ask why: the bidder may be right. The comparison keeps the quantities asked for."),
        _none("Sums that do not add up", kind("sum")).advising("Ask which holds, the unit prices or the sum."),
        _none("Unit prices far from the others", kind("slip")).advising("Ask what unit is meant, and whether anything is left out."),
        _none("Lines that bidders added", _once("COUNT(own_amounts)")).advising("Decide on the Own lines sheet whether each counts."),
        _none("Notes to look at", _once('COUNTIF(note_bids,"?*")')).advising("Read the Notes sheet."),
        _none("Lines whose lowest price is far from our cost", _once('COUNTIF(lines_far,"?*")')).advising(
            "Look at the line in our estimate and in the bids: one of them may have the work wrong."
        ),
        CheckRow("Spread of the bids, alike in scope", '=IF(COUNT(bids_alike)<2,"",bids_spread)', AT_MOST, "=far_from_ours", look.PERCENT).advising(
            "Bids that far apart hardly price the same work: talk to the bidders before anything else."
        ),
    ]

"""Checks: whether the bids can be compared at all, and what to ask first."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS, name
from stillbook.templates.booth import checks
from stillbook.templates.booth.checks import MOST, Check
from stillbook.templates.page import Book, Page


def write(book: Book) -> Page:
    """Write the sheet."""
    return checks.write(book, (*_filled_in(), *_found()))


def _once(formula: str) -> str:
    """A value that waits for the first bid."""
    return f'=IF(bids_in=0,"",{formula})'


def _filled_in() -> list[Check]:
    unnamed = "+".join(f'IF({name(letter)}="",COUNT(written_{letter.lower()}),0)' for letter in LETTERS)
    given = '(bidder_names<>"")'
    return [
        Check("Project and date are filled in", '=IF(OR(project="",N(comparison_date)=0),"","yes")', "", "TRUE",
              "Fill them in on the Inputs sheet.", look.GENERAL),
        Check("Lines asked for", '=IF(COUNT(asked_numbers)=0,"",COUNT(asked_numbers))', "=1", "{v}>={l}",
              "Type the lines of the scope on the Lines sheet.", look.WHOLE),
        Check("Lines with words and no number", '=IF(COUNTA(asked_texts)=0,"",SUMPRODUCT((asked_numbers="")*(asked_texts<>"")))', "=0", MOST,
              "Give each line its number: a row without one is not compared.", look.WHOLE),
        Check("Lines without quantity or our cost", '=IF(COUNT(asked_numbers)=0,"",SUMPRODUCT((asked_numbers<>"")*((asked_quantities="")+(asked_costs="")>0)))',
              "=0", MOST, "Fill them in: our cost stands beside the bids.", look.WHOLE),
        Check("Bids", '=IF(bids_in=0,"",bids_in)', "=2", "{v}>={l}", "One bid is no comparison: ask for another.", look.WHOLE),
        Check("Prices under a letter without a bidder", '=IF(COUNT(asked_numbers)=0,"",' + unnamed + ")", "=0", MOST,
              "Write who bids on the Bidders sheet.", look.WHOLE),
        Check("Bidders without a day of receipt", _once(f'SUMPRODUCT({given}*(bidder_dates=""))'), "=0", MOST,
              "Write when each bid came in: a late bid may not count.", look.WHOLE),
        Check("Bidders of whom it is not said whether tax is in", _once(f'SUMPRODUCT({given}*(bidder_taxes=""))'), "=0", MOST,
              "Ask, and write yes or no on the Bidders sheet.", look.WHOLE),
        Check("Tax is given where a bid includes it", _once(f'SUMPRODUCT({given}*(bidder_taxes="yes"))*(tax_rate=0)'), "=0", MOST,
              "Write the rate on the Inputs sheet, so that it is taken out.", look.WHOLE),
    ]  # fmt: skip


def _found() -> list[Check]:
    def kind(word: str) -> str:
        return _once(f'SUMPRODUCT((found_kinds="{word}")*(found_places<>""))')

    return [
        Check("Lines without a price, in all bids", _once("SUM(bids_missing)"), "=0", MOST,
              "Ask each bidder to price what is missing; until then the Summary sheet fills it in.", look.WHOLE),
        Check("Lines nobody prices", _once('COUNTIF(lowest_bidders,"nobody")'), "=0", MOST,
              "Ask whether the line is understood; it stands at our cost in every bid.", look.WHOLE),
        Check("Changed quantities", kind("quantity"), "=0", MOST,
              "Ask why: the bidder may be right. The comparison keeps the quantities asked for.", look.WHOLE),
        Check("Sums that do not add up", kind("sum"), "=0", MOST,
              "Ask which holds, the unit prices or the sum.", look.WHOLE),
        Check("Unit prices far from the others", kind("slip"), "=0", MOST,
              "Ask what unit is meant, and whether anything is left out.", look.WHOLE),
        Check("Lines that bidders added", _once("COUNT(own_amounts)"), "=0", MOST,
              "Decide on the Own lines sheet whether each counts.", look.WHOLE),
        Check("Notes to look at", _once('COUNTIF(note_bids,"?*")'), "=0", MOST, "Read the Notes sheet.", look.WHOLE),
        Check("Lines whose lowest price is far from our cost", _once('COUNTIF(lines_far,"?*")'), "=0", MOST,
              "Look at the line in our estimate and in the bids: one of them may have the work wrong.", look.WHOLE),
        Check("Spread of the bids, alike in scope", '=IF(COUNT(bids_alike)<2,"",bids_spread)', "=far_from_ours", MOST,
              "Bids that far apart hardly price the same work: talk to the bidders before anything else.", look.PERCENT),
    ]  # fmt: skip

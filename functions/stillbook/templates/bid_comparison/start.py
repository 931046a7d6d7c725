"""Start: which job, how the bids stand, and the cautions."""

from __future__ import annotations

from stillbook.cautions import CAUTIONS
from stillbook.templates import look
from stillbook.templates.bid_comparison.summary import LOWEST_CAUTION
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import front
from stillbook.templates.parts.front import Figure

SHEETS = (
    ("Inputs", "The job, and how its bids are compared."),
    ("Bidders", "Who bids, when it came in, tax, the sum as written, remarks."),
    ("Lines", "What is asked for with our cost; each bid's amount, lowest, highest, spread."),
    ("Bids", "Each bid as written: unit prices, line totals, changed quantities."),
    ("Own lines", "Lines that bidders added, and whether they count."),
    ("Notes", "What no formula can see, read from the files or typed."),
    ("Findings", "Missing lines, changed quantities, wrong sums, unit slips, added lines."),
    ("Summary", "The bids as written and alike in scope, with rank, spread and trades."),
    ("Checks", "Whether the bids can be compared, and what to ask first."),
    ("Workings", "Steps between units that slip into prices, and the steps behind the other sheets."),
)


def write(book: Book) -> Page:
    """Write the sheet."""
    return front.write(
        book,
        "For the office only: contractors' bids beside each other and our cost, made alike in scope.",
        about=(
            ("Project", '=IF(project="","not filled in",project)'),
            ("Reference", '=IF(reference="","",reference)'),
            ("Date", '=IF(N(comparison_date)=0,"not filled in",TEXT(comparison_date,"yyyy-mm-dd"))'),
            ("Estimate", '=IF(estimate_file="","",estimate_file)'),
        ),
        figures=(
            Figure("Bids", "=bids_in", look.WHOLE),
            Figure("Our cost", "=our_cost", look.MONEY, "=currency"),
            Figure("Lowest, alike", '=IF(lowest_bid="","none yet",lowest_bid)', look.MONEY, "=currency"),
            Figure("Findings", "=findings", look.WHOLE),
            front.CHECKS,
        ),
        cautions=(LOWEST_CAUTION, *CAUTIONS),
        sheets=SHEETS,
        closing="From files: stillbook bids fills this workbook from the scopes that contractors return. By hand: "
        "name the bidders, copy the lines of the scope and our cost to the Lines sheet, type each bid on the "
        f"Bids sheet, then read Findings and Checks before the Summary. {front.LOCKED}",
    )

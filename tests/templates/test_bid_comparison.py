"""The bid comparison used by hand: bids typed from paper, against plain arithmetic; findings, checks, who may see it."""

from functools import cache

import openpyxl
import pytest

from stillbook.quantities import SYSTEMS
from stillbook.share.copies import share
from stillbook.templates.bid_comparison.steps import STEPS, bounds
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.audience import AUDIENCES
from templates.columns import put, results, shipped, values
from templates.typed_bids import NAME, typed


def found(job):
    """The findings of a calculated comparison: what, line, sentence."""
    columns = (values(job, f"finding_{name}") for name in ("kinds", "lines", "texts"))
    return [row for row in zip(*columns, strict=True) if row[0] != ""]


@cache
def told(system="US", **cells):
    """Three bids with more cells typed, and their report: calculated once for the tests that read them."""
    job = typed(system, **cells)
    return job, job.calculate()


# --- amounts ----------------------------------------------------------------------------------------------------------

FILLED = [
    ("middle of the bids", (400 + 380) / 2),
    ("highest bid", 400),
    ("our cost", 350),
]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize(("way", "door"), FILLED)
def test_bids_are_made_alike_in_scope(way, door, system):
    job = typed(system)
    job.set({"fill_missing": way})
    said = results(job)
    assert values(job, "bids_compared")[:4] == [1460, 1050, 1500, ""]
    assert values(job, "bids_missing")[:4] == [0, 1, 0, ""]
    assert values(job, "bids_alike")[:4] == [1460, 1050 + door, 1500, ""]
    assert (said["our_cost"], said["bids_in"], said["lowest_bidder"]) == (1410, 3, "Second (invented)")
    assert said["lowest_bid"] == 1050 + door
    assert said["lowest_to_ours"] == pytest.approx((1050 + door) / 1410 - 1)
    assert said["bids_spread"] == pytest.approx(1500 / (1050 + door) - 1)


def test_lines_show_lowest_highest_spread_and_how_far_from_ours():
    job, _ = told()
    assert values(job, "lowest_amounts")[:4] == [450, 520, 380, ""]
    assert values(job, "highest_amounts")[:4] == [600, 600, 400, ""]
    assert values(job, "line_spreads")[:3] == [
        pytest.approx(1 / 3),
        pytest.approx(600 / 520 - 1),
        pytest.approx(20 / 380),
    ]
    assert values(job, "lowest_bidders")[:4] == ["B", "C", "C", ""]
    assert values(job, "lines_to_ours")[:3] == [
        pytest.approx(-0.1),
        pytest.approx(520 / 560 - 1),
        pytest.approx(380 / 350 - 1),
    ]


@pytest.mark.parametrize(("cost", "word"), [(300, "above"), (450, ""), (700, "below")])
def test_a_lowest_price_far_from_ours_is_marked(cost, word):
    job = typed(asked_costs=(0, cost))
    job.calculate()
    assert values(job, "lines_far")[0] == word


def test_a_line_that_nobody_prices_stands_at_our_cost():
    job = typed(bid_a_prices=(2, None), bid_c_prices=(2, None))
    job.calculate()
    assert values(job, "lowest_bidders")[2] == "nobody"
    assert values(job, "bids_alike")[:3] == [1060 + 350, 1050 + 350, 1120 + 350]


def test_a_line_total_alone_gives_the_unit_price():
    job = typed(bid_b_totals=(2, 390))
    job.calculate()
    assert values(job, "bids_compared")[1] == 1440
    assert values(job, "bids_missing")[1] == 0


def test_tax_is_taken_out_of_a_bid_that_includes_it():
    job = typed(bidder_taxes=(0, "yes"))
    job.set({"tax_rate": 0.1})
    job.calculate()
    assert values(job, "bids_compared")[0] == pytest.approx(1460 / 1.1)
    assert values(job, "added_up")[0] == 1460
    assert values(job, "bids_alike")[1] == pytest.approx(1050 + (400 / 1.1 + 380) / 2)


@pytest.mark.parametrize(("counts", "own"), [(None, 150), ("yes", 150), ("no", 0)])
def test_an_own_line_counts_unless_the_office_says_no(counts, own):
    job = typed(
        own_bids=(0, "A"), own_texts=(0, "Stairs"), own_quantities=(0, 2), own_prices=(0, 75), own_counts=(0, counts)
    )
    job.calculate()
    assert values(job, "bids_own")[0] == own
    assert values(job, "bids_compared")[0] == 1460 + own
    assert values(job, "added_up")[0] == 1610


def test_trades_are_added_up_with_missing_lines_filled_in():
    job = typed(own_bids=(0, "C"), own_totals=(0, 25), asked_trades=(1, None))
    job.calculate()
    sheet = job.package.sheet("Summary")
    rows = {}
    for row, column in sorted(sheet.stored):
        if column == 2:
            rows[job.package.value("Summary", row, 2)] = [job.package.value("Summary", row, at) for at in range(3, 7)]
    assert rows["Shell"] == [500, 500, 450, 600]
    assert rows["Doors"] == [350, 400, 390, 380]
    assert rows["Other trades, or none named"] == [560, 560, 600, 520]
    assert rows["Own lines that count"] == [None, 0, 0, 25]
    assert rows["Together"] == [1410, 1460, 1440, 1525]


# --- findings ---------------------------------------------------------------------------------------------------------

ODD = [
    # what is typed, and what is told of it: several things at once that have nothing to do with each other
    ({}, [("missing", 3, "the line Door has no price")]),
    (
        {"bid_a_quantities": (1, 44), "bidder_sums": (0, None)},
        [
            ("quantity", 2, "the quantity of Stud is 44 in place of 40 piece"),
            ("sum", "", "the sum of all lines is not written"),
        ],
    ),
    (
        {"bid_a_totals": (1, 600), "own_bids": (0, "B"), "own_texts": (0, "Stairs"), "own_totals": (0, 90)},
        [
            ("sum", 2, "the line total of Stud is 600.00; 40 × 14 make 560.00"),
            ("own line", "", "contractor's own: Stairs, 90.00"),
        ],
    ),
    (
        {"bidder_sums": (0, 1400), "own_bids": (0, "B"), "own_numbers": (0, 9)}
        | {"note_bids": (0, "C"), "note_kinds": (0, "exclusion"), "note_texts": (0, "No painting.")},
        [
            ("sum", "", "the sum is 1,400.00; the line totals add up to 1,460.00"),
            ("own line", "9", "the line 9, , is not asked for"),
            ("exclusion", "", "No painting."),
        ],
    ),
    ({"bid_a_prices": (1, 560)}, [("slip", 2, "is it the line total in place of the unit price?")]),
    ({"bid_a_prices": (1, 168)}, [("slip", 2, "the step between dozens and pieces?")]),
    ({"bid_a_prices": (0, 50 / 32)}, [("slip", 1, "the step between 4 × 8 ft sheets and ft²?")]),
    ({"bid_a_prices": (1, 14 * 60)}, [("slip", 2, "check the unit")]),
    ({"bid_a_prices": (1, 0)}, [("slip", 2, "the price of Stud is 0: is the line included elsewhere?")]),
]


@pytest.mark.parametrize(
    ("cells", "kind", "line", "text"),
    [(cells, *finding) for cells, findings in ODD for finding in findings],
    ids=[f"{kind} {text[-24:]}" for _, findings in ODD for kind, _, text in findings],
)
def test_what_is_odd_is_told(cells, kind, line, text):
    job, _ = told(**cells)
    assert any(row[:2] == (kind, line) and text in row[2] for row in found(job)), found(job)


def test_a_quantity_that_is_no_whole_number_may_be_rounded():
    quantity = {"asked_quantities": (1, 39.6)}
    assert "quantity" not in {row[0] for row in found(told(**quantity, bid_a_quantities=(1, 40))[0])}
    assert "quantity" in {row[0] for row in found(told(**quantity, bid_a_quantities=(1, 41))[0])}


def test_how_far_off_a_price_may_be_is_an_input():
    job = typed(bid_a_prices=(1, 42))
    job.calculate()
    assert "slip" not in {row[0] for row in found(job)}
    job.set({"far_off": 2})
    job.calculate()
    assert "slip" in {row[0] for row in found(job)}


JUDGED = [
    # our cost of one and the unit prices of A, B and C: whose price is told, in what words
    (7.79, (9.46, 237.6, None), "B", "237.6, is 25.1 times the middle of the bids and our cost, 9.46: check the unit"),
    (7.79, (237.6, 9.46, None), "A", "237.6, is 25.1 times the middle of the bids and our cost, 9.46: check the unit"),
    (14, (1.1, 15, 13), "A", "1.1, is one part in 12.7 of the middle of the bids and our cost, 14"),
    (14, (168, None, None), "A", "168, is 12 times our cost, 14"),
    (14, (15, 168, 170), "BC", "168, is 11.2 times the middle of the bids and our cost, 15"),
    (168, (15, 168, 170), "A", "15, is one part in 11.2 of the middle of the bids and our cost, 168"),
    (140, (14, 15, 13), "", ""),
    (None, (14, 15, 168), "C", "168, is 11.2 times the middle of the bids, 15"),
    # Two prices and nothing else: neither is known to be the bad one.
    (None, (14, 168, None), "AB", "168, is 12 times the other bid, 14"),
    # By hand: 1400 is 100 times the middle of 13, 14, 15 and 1400, the two in it being 14 and 15.
    (14, (1400, 15, 13), "A", "1400, is 100 times the middle of the bids and our cost, 14: the step between hundreds"),
    (14, (14000, 15, 13), "A", "the step between metres and millimetres?"),
    (14, (168, 15, 13), "A", "168, is 12 times the middle of the bids and our cost, 14: check the unit"),
]


@pytest.mark.parametrize(("ours", "prices", "accused", "words"), JUDGED)
def test_the_price_that_stands_apart_is_told_and_no_other(ours, prices, accused, words):
    """A run of 41 m, priced by the metre in a metric job, where no slip is one of feet or inches."""
    job = typed("SI", asked_units=(1, "m"), asked_quantities=(1, 41), asked_costs=(1, ours and 41 * ours))
    for letter, price in zip("abc", prices, strict=True):
        put(job, f"bid_{letter}_prices", 1, price)
    job.calculate()
    told = {x.upper(): values(job, f"slip_{x}")[1] for x in "abc"}
    assert "".join(x for x, text in told.items() if text) == accused
    assert not accused or any(words in text for text in told.values()), told
    assert not any(unit in text for text in told.values() for unit in ("feet", "inch", "ft"))


def test_a_slip_of_feet_and_inches_is_named_in_a_job_in_feet():
    job = typed("US", asked_units=(1, "ft"), asked_quantities=(1, 41), bid_a_prices=(1, 168))
    job.calculate()
    assert "the step between feet and inches?" in values(job, "slip_a")[1]


def test_each_finding_has_its_bidder_and_its_mark():
    job, report = told()
    assert values(job, "finding_bidders")[0] == "Second (invented)"
    assert {result.name: result.value for result in report.results}["findings"] == len(found(job)) == 1
    assert [values(job, f"mark_{x}")[2] for x in "abc"] == ["", "!", ""]


def test_every_bid_and_kind_comes_into_the_list():
    job = shipped(NAME, "US")
    for row in range(80):
        for name, value in (("numbers", row + 1), ("texts", "Board"), ("quantities", 10), ("costs", 500)):
            put(job, f"asked_{name}", row, value)
    for row, letter in enumerate("ABCDEF"):
        put(job, "bidder_names", row, letter)
        for line in range(80 - row):
            put(job, f"bid_{letter.lower()}_prices", line, 50)
    job.calculate()
    missing = [(letter, line) for row, letter in enumerate("ABCDEF") for line in range(80 - row + 1, 81)]
    assert len(found(job)) == len(missing) + 6
    listed = list(zip(values(job, "finding_bidders"), values(job, "finding_lines"), strict=True))
    assert listed[: len(missing)] == missing


@pytest.mark.parametrize(
    ("system", "place"), [(system, place) for system in SYSTEMS for place in range(len(STEPS[system]))]
)
def test_a_step_is_named_where_it_is_the_nearest_of_its_kind(system, place):
    least, most = bounds(system, place)
    kind, factor, _ = STEPS[system][place]
    for times in (least * 1.0001, factor, most * 0.9999):
        nearest = min((abs(times / other - 1), at) for at, (k, other, _) in enumerate(STEPS[system]) if k == kind)
        assert nearest[1] == place
        assert nearest[0] <= 0.2


# --- how it looks -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", SYSTEMS)
def test_type_is_no_taller_than_its_row_and_large_enough_in_print(system):
    """A line of the face is 1.22 of its size tall. Paper is 8.5 × 11 in or A4, a letter's width in print 5.56 points."""
    book = openpyxl.load_workbook(template(NAME).path(system))
    for sheet in ("Lines", "Bids", "Own lines", "Notes", "Findings"):
        page = book[sheet]
        area = page.print_area.split(",")[0].replace("$", "").rpartition("!")[2]
        rows = page[area]
        letters = sum(page.column_dimensions[cell.column_letter].width for cell in rows[0])
        share = min(1, ((11 if system == "US" else 11.69) - 0.8) * 72 / (5.56 * letters))
        for row in rows:
            height = page.row_dimensions[row[0].row].height or 15
            for cell in row:
                if cell.value is not None or not cell.protection.locked:
                    assert cell.font.size * 1.22 <= height + 0.1, (sheet, cell.coordinate)
                    assert cell.font.size * share >= 6.95, (sheet, cell.coordinate)


# --- checks, and who may see it ---------------------------------------------------------------------------------------


def test_bids_that_are_as_asked_pass_every_check():
    job = typed(bid_b_prices=(2, 390), bidder_sums=(1, 1440))
    assert {check.rule: check.state for check in job.calculate().checks if check.state != "passes"} == {}


FAILS = [
    # what is typed, each with the rule that fails of it: several at once that have nothing to do with each other
    [({}, "Lines without a price, in all bids")],
    [
        ({"asked_numbers": (2, None)}, "Lines with words and no number"),
        ({"bidder_dates": (0, None)}, "Bidders without a day of receipt"),
        ({"bid_a_quantities": (0, 12)}, "Changed quantities"),
        ({"own_bids": (0, "A")}, "Lines that bidders added"),
        ({"note_bids": (0, "A")}, "Notes to look at"),
    ],
    [
        ({"asked_costs": (0, None)}, "Lines without quantity or our cost"),
        ({"bidder_names": (1, None)}, "Prices under a letter without a bidder"),
        ({"bidder_taxes": (0, None)}, "Bidders of whom it is not said whether tax is in"),
        ({"bid_a_totals": (0, 12)}, "Sums that do not add up"),
    ],
    [
        ({"asked_costs": (0, 100)}, "Lines whose lowest price is far from our cost"),
        ({"bidder_taxes": (0, "yes")}, "Tax is given where a bid includes it"),
        ({"bidder_sums": (0, 12)}, "Sums that do not add up"),
    ],
    [({"bid_a_prices": (0, 500)}, "Unit prices far from the others")],
    [({"bid_a_prices": (2, 1500)}, "Spread of the bids, alike in scope")],
]


@pytest.mark.parametrize(
    ("cells", "rule"),
    [
        ({name: cell for cells, _ in group for name, cell in cells.items()}, rule)
        for group in FAILS
        for _, rule in group
    ],
)
def test_what_hinders_a_comparison_fails(cells, rule):
    _, report = told(**cells)
    assert {check.rule: check.advice for check in report.failed}[rule]


def test_one_bid_and_lines_nobody_prices_fail():
    job = typed(bidder_names=(1, None), bid_a_prices=(2, None), bid_c_prices=(2, None))
    put(job, "bidder_names", 2, None)
    assert {"Bids", "Lines nobody prices"} <= {check.rule for check in job.calculate().failed}


@pytest.mark.parametrize("audience", AUDIENCES)
def test_nobody_outside_the_office_gets_a_copy(audience, tmp_path):
    job = typed()
    job.save(tmp_path / "bids.xlsx")
    with pytest.raises(WorkbookError, match=f"it does not say what a {audience} may see"):
        share(tmp_path / "bids.xlsx", tmp_path / "copy.xlsx", audience)
    assert not (tmp_path / "copy.xlsx").exists()


def test_it_needs_no_formulas_of_ours():
    job = shipped(NAME, "US")
    for sheet in job.package.sheets:
        assert not any("STILL" in formula.text.upper() for formula in job.package.sheet(sheet).formulas.values())


def test_words_of_a_bid_are_cells_of_text():
    job = typed(bidder_names=(0, "=1+1"), bidder_remarks=(0, "=HYPERLINK(1)"), own_bids=(0, "A"), own_texts=(0, "=2"))
    assert job.calculate().errors == ()
    assert values(job, "bidder_names")[0] == "=1+1"
    assert values(job, "finding_texts")[1].startswith("a line of the contractor's own: =2")


@pytest.mark.parametrize("system", SYSTEMS)
def test_blank_rows_stay_blank(system):
    job, _ = told(system)
    for name in ("alike_a", "lowest_amounts", "line_spreads", "lowest_bidders", "price_a", "fills", "mark_a"):
        assert set(values(job, name)[3:]) == {""}, name

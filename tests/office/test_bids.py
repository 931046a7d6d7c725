"""Returned scopes: read as they are, compared line by line, and every oddity told."""

import datetime

import openpyxl
import pytest
from openpyxl.workbook.defined_name import DefinedName

from stillbook.office.bids import bids, compare_bids
from stillbook.office.returned_scope import read_amount, read_scope
from stillbook.share.copies import share
from stillbook.templates.demo import values as demo_values
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.lines import column
from stillbook.workbook.job.notes import keep_note
from workbook import books, jobs
from workbook.office import convert

# The small estimate asks for 10 boards, 40 studs and 1 door; rows 6 to 8 of its scope, own lines in rows 9 and 10.
# Our cost of one: board 19 + 62/2, stud 5.2 + 62/7, door 210 + 68/0.5.
BOARD, STUD, DOOR = 6, 7, 8


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("job")
    path = jobs.saved(jobs.estimate(), folder / "job.xlsx")
    share(path, folder / "scope.xlsx", "contractor")
    return path


def returned(job, path, contractor, prices, **cells):
    """A scope as it comes back: prices by row, and other cells changed."""
    made = openpyxl.load_workbook(job.with_name("scope.xlsx"))
    sheet = made["Scope"]
    for row, price in prices.items():
        sheet.cell(row, 6, price)
    for cell, value in {"C1": contractor, **cells}.items():
        sheet[cell] = value
        if isinstance(value, str) and value.startswith("=="):
            sheet[cell].value = value[1:]
            sheet[cell].data_type = "s"
    made.save(path)
    return path


def formulas(book):
    """The cells of a workbook that hold a formula."""
    return {
        (sheet.title, cell.coordinate)
        for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"
    }  # fmt: skip


FAIR = {BOARD: 50, STUD: 14, DOOR: 350}


@pytest.fixture(scope="module")
def two(job, tmp_path_factory):
    folder = tmp_path_factory.mktemp("two")
    one = returned(job, folder / "one.xlsx", "First Builders (invented)", FAIR)
    other = returned(
        job, folder / "two.xlsx", "Second Builders (invented)", {BOARD: 45, STUD: 15, DOOR: 400}, C2="From May on."
    )
    return bids([one, other], job, folder / "out.xlsx"), folder / "out.xlsx"


def test_bids_that_are_as_asked_give_no_finding(two):
    assert two[0].findings == ()
    assert two[0].unread == ()


def test_sums_lowest_and_spread(two):
    comparison, _ = two
    # By hand: 10 × 50 + 40 × 14 + 350 and 10 × 45 + 40 × 15 + 400.
    assert [(b.contractor, b.written, b.sum, b.alike, b.missing) for b in comparison.bids] == [
        ("First Builders (invented)", 1410.0, 1410.0, 1410.0, ()),
        ("Second Builders (invented)", 1450.0, 1450.0, 1450.0, ()),
    ]
    assert [(e.line.code, e.lowest.split()[0], e.spread) for e in comparison.lines] == [
        ("BOARD", "Second", pytest.approx(50 / 45 - 1)),
        ("STUD", "First", pytest.approx(15 / 14 - 1)),
        ("DOOR", "First", pytest.approx(400 / 350 - 1)),
    ]
    assert comparison.lines[0].our_price == pytest.approx(19 + 62 / 2)
    assert comparison.our_cost == pytest.approx(10 * (19 + 31) + 40 * (5.2 + 62 / 7) + 210 + 136)
    assert comparison.bids[1].remarks == "From May on."


ODDITIES = [
    # what is wrong, prices, cells, line, kind, words of the finding
    ("no price", {BOARD: 50, STUD: 14}, {}, 3, "missing", "the line Door slab has no price"),
    ("words for a price", {**FAIR, DOOR: "ask us"}, {}, 3, "price", 'Door slab is written as "ask us": no amount in it'),
    ("price as text", {**FAIR, DOOR: "USD 350.- each"}, {}, 3, "price", 'is written as "USD 350.- each": read as 350'),
    ("quantity changed", FAIR, {"D7": 44}, 2, "quantity", "the quantity of Stud is 44 in place of 40 piece"),
    ("quantity gone", FAIR, {"D7": None}, 2, "quantity", "the quantity of Stud is gone; asked for are 40 piece"),
    ("unit changed", FAIR, {"E7": "dozen"}, 2, "unit", 'Stud is priced by "dozen" in place of piece'),
    ("total typed over", FAIR, {"G7": 500}, 2, "sum", "the line total of Stud is 500.00; 40 × 14 make 560.00"),
    ("sum typed over", FAIR, {"G3": 1400}, 0, "sum", "the sum is 1,400.00; the line totals add up to 1,410.00"),
    ("sum gone", FAIR, {"G3": None}, 0, "sum", "the sum of all lines is not written"),
    ("line deleted", FAIR, {"A7": None, "B7": None, "F7": None}, 2, "missing", "the line Stud is gone from the bid"),
    ("line twice", FAIR, {"A9": 2, "B9": "Stud"}, 0, "twice", "the line 2, Stud, stands there twice: the first is taken"),
    ("line not asked for", FAIR, {"A9": 7, "B9": "Glass", "F9": 9}, 7, "own line", "the line 7, Glass, is not asked for, 0.00: it is left out"),
    ("own line", FAIR, {"B9": "Stairs", "D9": 2, "F9": 75}, 0, "own line", "a line of the contractor's own: Stairs, 150.00"),
    ("line total for unit price", {**FAIR, STUD: 560}, {}, 2, "slip", "is it the line total in place of the unit price?"),
    ("per dozen", {**FAIR, STUD: 168}, {}, 2, "slip", "the step between dozens and pieces?"),
    ("per ft² of a sheet", {**FAIR, BOARD: 1.56}, {}, 1, "slip", "the step between 4 × 8 ft sheets and ft²?"),
    ("included", {**FAIR, DOOR: "incl."}, {}, 3, "slip", "is the line included elsewhere?"),
]  # fmt: skip


@pytest.fixture(scope="module")
def found(job, tmp_path_factory):
    """What is told of each bid, by what is wrong with it, which is also its contractor's name: six are compared at a time."""
    folder = tmp_path_factory.mktemp("oddities")
    files = [
        returned(job, folder / f"{number}.xlsx", wrong, prices, **cells)
        for number, (wrong, prices, cells, *_) in enumerate(ODDITIES)
    ]
    told = {wrong: [] for wrong, *_ in ODDITIES}
    for first in range(0, len(files), 6):
        for finding in compare_bids(files[first : first + 6], job).findings:
            told[finding.contractor].append(finding)
    return told


@pytest.mark.parametrize(
    ("wrong", "line", "kind", "words"), [(o[0], *o[3:]) for o in ODDITIES], ids=[o[0] for o in ODDITIES]
)
def test_each_oddity_is_told(found, wrong, line, kind, words):
    assert any(f.kind == kind and f.line == line and words in f.text for f in found[wrong]), found[wrong]


def test_an_oddity_of_a_single_bid_is_told_as_that_bids(job, tmp_path):
    file = returned(job, tmp_path / "bid.xlsx", "A", {**FAIR, DOOR: "ask us"}, E7="dozen")
    found = compare_bids([file], job).findings
    assert {(f.contractor, f.line, f.kind) for f in found} == {
        ("A", 3, "price"),
        ("A", 3, "missing"),
        ("A", 2, "unit"),
    }


def test_missing_lines_are_filled_in_with_the_others_or_our_cost(job, tmp_path):
    one = returned(job, tmp_path / "one.xlsx", "A", {BOARD: 50})
    two = returned(job, tmp_path / "two.xlsx", "B", {BOARD: 45, STUD: 15})
    three = returned(job, tmp_path / "three.xlsx", "C", {BOARD: 55, STUD: 13})
    first, *_ = compare_bids([one, two, three], job).bids
    assert first.missing == (2, 3)
    assert first.sum == 500
    # 40 studs at the middle of 15 and 13, one door at our cost.
    assert first.alike == pytest.approx(500 + 40 * 14 + 210 + 136)


CONCERNS = [
    # prices of the first bid and of two others, remarks of the first, line, words
    ({BOARD: 22, STUD: 6, DOOR: 150}, (FAIR, FAIR), "", 0, "% under our cost: ask what it leaves out"),
    ({BOARD: 90, STUD: 40, DOOR: 700}, (FAIR, FAIR), "", 0, "% over our cost"),
    (FAIR, (FAIR, FAIR), "Studs by others.", 0, 'it leaves something out in its remarks: "Studs by others."'),
    (FAIR, (FAIR, FAIR), "From May on.", 0, 'it remarks: "From May on."'),
    ({BOARD: 50, STUD: 14}, ({**FAIR, DOOR: 100}, {**FAIR, DOOR: 900}), "", 3, "too far apart to stand for it"),
    ({BOARD: 50, STUD: 14}, (FAIR, {BOARD: 50, STUD: 14}), "", 3, "the only price there is"),
    ({BOARD: 50, STUD: 14}, ({BOARD: 50, STUD: 14},) * 2, "", 3, "our own cost: nobody else prices it"),
]


@pytest.mark.parametrize(("own", "others", "remarks", "line", "words"), CONCERNS)
def test_what_the_figures_mean_beside_each_other_is_told(job, tmp_path, own, others, remarks, line, words):
    files = [returned(job, tmp_path / "a.xlsx", "A", own, C2=remarks or None)]
    files += [returned(job, tmp_path / f"{name}.xlsx", name, prices) for name, prices in zip("BC", others, strict=True)]
    found = [entry for entry in compare_bids(files, job).concerns if entry.contractor == "A"]
    assert any(entry.line == line and words in entry.text for entry in found), found


def test_the_findings_and_figures_of_the_workbook_are_those_told(job, tmp_path):
    wrong = returned(job, tmp_path / "one.xlsx", "A", {**FAIR, STUD: 168}, D8=2, G3=99)
    right = returned(job, tmp_path / "two.xlsx", "B", FAIR)
    comparison = bids([wrong, right], job, tmp_path / "out.xlsx")
    package = Package.open(tmp_path / "out.xlsx")
    for name, told in (
        ("finding_texts", [finding.text for finding in comparison.findings]),
        ("finding_kinds", [finding.kind for finding in comparison.findings]),
        ("bids_alike", [bid.alike for bid in comparison.bids]),
        ("bids_compared", [bid.sum for bid in comparison.bids]),
        ("lowest_bidders", ["A", "B", "A"]),
    ):
        sheet, area = column(package, name)
        assert sorted(row[0] for row in package.rows(sheet, area) if row[0] != "") == sorted(told)
    assert [entry.lowest for entry in comparison.lines] == ["A", "B", "A"]


def test_the_comparison_takes_over_the_job_and_its_units(tmp_path):
    made = jobs.estimate()
    made["Inputs"]["D1"], made["Inputs"]["D2"] = "SI", "Invented house"
    keep_note(made, "project", "Inputs!$D$2", InputSpec("project", "Job.", "text").comment())
    made.defined_names.add(DefinedName("units", attr_text="Inputs!$D$1"))
    path = jobs.saved(made, tmp_path / "job.xlsx")
    share(path, tmp_path / "scope.xlsx", "contractor")
    bids([returned(path, tmp_path / "bid.xlsx", "A", FAIR)], path, tmp_path / "out.xlsx")
    job = Job.open(tmp_path / "out.xlsx")
    assert job.inputs["project"].value == "Invented house"
    assert job.inputs["estimate_file"].value.startswith("job.xlsx, revision ")
    assert openpyxl.load_workbook(tmp_path / "out.xlsx")["Lines"].page_setup.paperSize == 9


def test_it_prints_the_rows_that_hold_something(two):
    package = Package.open(two[1])
    # Under the headings three rows: the lines there are, and of an empty list three blank ones. Of the Bids sheet the half
    # with the first three bids alone.
    heads = {"Lines": 5, "Bids": 5, "Own lines": 4, "Notes": 4, "Findings": 5}
    for sheet, head in heads.items():
        assert [area.last_row for area in package.print_areas(sheet)] == [head + 3]


def test_more_bids_or_lines_than_it_holds_are_refused(job, tmp_path):
    files = [returned(job, tmp_path / f"{name}.xlsx", name, FAIR) for name in "ABCDEFG"]
    assert [bid.contractor for bid in compare_bids(files[:6], job).bids] == list("ABCDEF")
    with pytest.raises(WorkbookError, match="there are 7 bids: compare at most 6 at a time"):
        compare_bids(files, job)


def test_own_lines_are_part_of_the_sum(job, tmp_path):
    file = returned(job, tmp_path / "bid.xlsx", "A", FAIR, B9="Stairs", D9=2, F9=75)
    (bid,) = compare_bids([file], job).bids
    assert (bid.written, bid.sum, bid.own) == (1560.0, 1560.0, 150.0)


def test_a_row_is_as_tall_as_its_words(tmp_path):
    """Words of more than a line show all their lines, in files that programs open with the heights that they find."""
    text = "Stairs of oak, made to measure, put up, oiled twice and covered until the room is handed over"
    made = jobs.estimate()
    made["Prices"]["B3"] = f"Stud. {text}"
    path = jobs.saved(made, tmp_path / "job.xlsx")
    share(path, tmp_path / "scope.xlsx", "contractor")
    bids([returned(path, tmp_path / "bid.xlsx", "A", FAIR, B9=text, D9=2, F9=75)], path, tmp_path / "out.xlsx")
    book = openpyxl.load_workbook(tmp_path / "out.xlsx")
    for sheet, row in (("Lines", 7), ("Bids", 7), ("Own lines", 5)):
        heights = [book[sheet].row_dimensions[row + more].height for more in (0, 1)]
        assert heights[0] >= 2 * 1.22 * 10.5, (sheet, heights)
        assert heights[1] in (None, 15), (sheet, heights)


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ({"C3": "=1/0"}, "the unit of the line Stud is #DIV/0!: mend the estimate first"),
        ({"D3": "=NA()"}, "the unit cost of the line Stud is #N/A: mend the estimate first"),
        ({"B3": "=NA()"}, "the text of the line row 3 is #N/A"),
    ],
)
def test_a_job_whose_line_is_broken_is_refused(tmp_path, job, cells, told):
    """Its cost would be taken as nothing, and the line compared by it."""
    made = jobs.estimate()
    for cell, formula in cells.items():
        made["Prices"][cell] = formula
    broken = jobs.saved(made, tmp_path / "broken.xlsx")
    with pytest.raises(WorkbookError, match=r"broken\.xlsx: ") as refused:
        bids([returned(job, tmp_path / "bid.xlsx", "A", FAIR)], broken, tmp_path / "out.xlsx")
    assert told in str(refused.value)
    assert not (tmp_path / "out.xlsx").exists()


def test_a_bid_on_an_earlier_revision_is_told(job, tmp_path):
    file = returned(job, tmp_path / "bid.xlsx", "A", FAIR)
    changed = Job.open(job)
    changed.set({"wall_area": 330})
    changed.save(tmp_path / "changed.xlsx")
    kinds = [f.kind for f in compare_bids([file], tmp_path / "changed.xlsx").findings]
    assert kinds == ["revision", "quantity", "quantity"]


def test_moved_rows_columns_and_sheet_names_do_not_matter(job, tmp_path):
    file = returned(job, tmp_path / "bid.xlsx", "A", FAIR)
    made = openpyxl.load_workbook(file)
    sheet = made["Scope"]
    for row in sheet.iter_rows(min_row=6, max_row=10):
        row[6].value = None
    sheet["G3"] = 1410
    sheet.insert_cols(1, 2)
    sheet.insert_rows(1, 3)
    sheet.title = "Our bid"
    made.create_sheet("Letter", 0)["A1"] = "Dear all"
    made.save(tmp_path / "moved.xlsx")
    assert compare_bids([tmp_path / "moved.xlsx"], job).findings == ()


def test_a_bid_that_went_through_libreoffice(job, tmp_path):
    file = convert(returned(job, tmp_path / "bid.xlsx", "A", FAIR), "xlsx", tmp_path, recalculate=True)
    assert compare_bids([file], job).findings == ()


def test_two_bids_under_one_name_stay_two(job, tmp_path):
    files = [returned(job, tmp_path / f"{name}.xlsx", "A", FAIR) for name in ("x", "y")]
    files.append(returned(job, tmp_path / "z.xlsx", None, FAIR))
    assert [b.contractor for b in compare_bids(files, job).bids] == ["A", "A (y)", "z"]


def test_a_file_that_cannot_be_read_does_not_stop_the_others(job, tmp_path):
    good = returned(job, tmp_path / "good.xlsx", "A", FAIR)
    (tmp_path / "bad.xlsx").write_bytes(b"PK\3\4 cut short")
    (tmp_path / "other.xlsx").write_bytes(books.book({"S": {"A1": "no scope"}}))
    comparison = compare_bids([tmp_path / "bad.xlsx", good, tmp_path / "other.xlsx", tmp_path / "gone.xlsx"], job)
    assert [b.contractor for b in comparison.bids] == ["A"]
    reasons = [reason for _, reason in comparison.unread]
    assert reasons[0].startswith("it is damaged")
    assert reasons[1].startswith("it holds no scope")
    assert reasons[2] == "there is no such file"


def test_with_no_readable_bid_or_no_lines_there_is_no_comparison(job, tmp_path):
    (tmp_path / "bad.xlsx").write_bytes(b"")
    with pytest.raises(WorkbookError, match=r"none of the bids can be read: .*it is empty"):
        bids([tmp_path / "bad.xlsx"], job, tmp_path / "out.xlsx")
    assert not (tmp_path / "out.xlsx").exists()
    bare = tmp_path / "bare.xlsx"
    bare.write_bytes(books.book({"S": {"A1": 1}}))
    with pytest.raises(WorkbookError, match="it asks for no lines"):
        compare_bids([job.with_name("scope.xlsx")], bare)


def test_the_workbook_shows_the_bids_with_a_chart_and_no_text_of_a_contractor_as_a_formula(job, tmp_path):
    one = returned(
        job, tmp_path / "one.xlsx", "==1+1", FAIR, C2='==HYPERLINK("http://example.org")', B9="==cmd", D9=1, F9=2
    )
    two = returned(job, tmp_path / "two.xlsx", "@B", {BOARD: 45, STUD: 15})
    out = tmp_path / "out.xlsx"
    bids([one, two], job, out)
    made, blank = openpyxl.load_workbook(out), openpyxl.load_workbook(template("bid-comparison").path("US"))
    assert made.sheetnames == blank.sheetnames
    assert made["Summary"]._charts
    assert formulas(made) == formulas(blank)
    texts = {cell.value for sheet in made for row in sheet.iter_rows() for cell in row if cell.data_type == "s"}
    assert {"=1+1", "@B", '=HYPERLINK("http://example.org")', "=cmd"} <= texts
    typed = [made["Bidders"]["B5"], made["Bidders"]["F5"], made["Own lines"]["D5"]]
    assert [(cell.value, cell.number_format) for cell in typed] == [
        ("=1+1", "@"), ('=HYPERLINK("http://example.org")', "@"), ("=cmd", "@")
    ]  # fmt: skip
    found = {result.name: result.value for result in Job.open(out).calculate().results}
    # Own lines are in it: 1410 and 2; the door of @B is filled in at the other's 350, so 450 + 600 + 350.
    assert (found["bids_in"], found["lowest_bid"], found["lowest_bidder"]) == (2, 1400, "@B")
    assert found["lowest_to_ours"] == pytest.approx(1400 / (500 + 40 * (5.2 + 62 / 7) + 346) - 1)
    with pytest.raises(WorkbookError, match="it exists already"):
        bids([one], job, out)
    with pytest.raises(WorkbookError, match="one of the workbooks read"):
        bids([one], job, one, replace=True)


AMOUNTS = [
    ("12", 12.0), ("12.5", 12.5), ("12,50", 12.5), ("$ 1,234", 1234.0), ("1.234.567", 1234567.0), ("1'234.50", 1234.5),
    ("0,125", 0.125), ("1 234,5 €", 1234.5), ("-3", -3.0), ("", None), ("3 to 4", None), ("=2+2", None),
]  # fmt: skip


@pytest.mark.parametrize(("text", "amount"), AMOUNTS)
def test_amounts_as_people_write_them(text, amount):
    assert read_amount(text) == amount


def test_the_scope_of_the_booth_estimate_comes_back(tmp_path):
    job = Job.open(template("booth-estimate").path("US"))
    job.set(demo_values())
    job.save(tmp_path / "job.xlsx")
    share(tmp_path / "job.xlsx", tmp_path / "scope.xlsx", "contractor", now=datetime.datetime(2026, 3, 2))
    made = openpyxl.load_workbook(tmp_path / "scope.xlsx")
    sheet = made["Scope"]
    priced = 0
    for row in sheet.iter_rows():
        label = [cell.value for cell in row]
        if "Contractor" in label:
            sheet.cell(row[0].row, 6, "Example Builders (invented)")
        if isinstance(row[1].value, int | float):
            sheet.cell(row[0].row, 7, 100)
            priced += 1
    made.save(tmp_path / "bid.xlsx")
    scope = read_scope(tmp_path / "bid.xlsx")
    assert scope.contractor == "Example Builders (invented)"
    comparison = bids([tmp_path / "bid.xlsx"], tmp_path / "job.xlsx", tmp_path / "out.xlsx")
    assert len(comparison.bids[0].prices) == priced == len(comparison.lines)
    assert comparison.bids[0].written == pytest.approx(comparison.bids[0].sum)
    assert {f.kind for f in comparison.findings} <= {"slip"}

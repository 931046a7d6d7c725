"""New prices in jobs: by code, in the unit that the job counts, and every line that moved told."""

import pytest
from openpyxl import load_workbook
from openpyxl.workbook.defined_name import DefinedName

from stillbook.office.reprice import Moved, read_prices, reprice
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.lines import price_rows
from workbook import books, jobs

NEW = (
    ("board", "Gypsum board", "Sheet", 21.5, "Shell", 2),
    ("STUD", "Stud", "bundle of 10", 50, "Shell", 7),
    ("DOOR", "Door slab", "piece", 260, "Doors", 0.4),
    ("GLASS", "Pane", "piece", 400, "Doors", 1),
)


@pytest.fixture
def job(tmp_path):
    return jobs.saved(jobs.estimate(), tmp_path / "job.xlsx")


def book(path, prices=NEW, labour=(("Shell", 70), ("Doors", 68)), levels=()):
    made = jobs.estimate(prices=prices, labour=labour)
    for column, (level, costs) in enumerate(levels, start=15):
        for row, cost in enumerate(costs, start=2):
            made["Prices"].cell(row, column, cost)
        letter = "ABCDEFGHIJKLMNOPQRST"[column - 1]
        last = 1 + len(prices) + 2
        made.defined_names.add(DefinedName(f"price_costs_{level}", attr_text=f"Prices!${letter}$2:${letter}${last}"))
    path.write_bytes(books.saved(made))
    return path


def costs(path):
    return {row.code: row.cost for row in price_rows(Job.open(path).package)}


def test_prices_are_taken_by_code_and_told(job, tmp_path):
    done = reprice(job, read_prices(book(tmp_path / "book.xlsx")))
    assert costs(job) == {"BOARD": 21.5, "STUD": 5.2, "DOOR": 260}
    assert done.moved == (
        Moved("BOARD", "unit cost", 19.0, 21.5),
        Moved("DOOR", "unit cost", 210.0, 260.0),
        Moved("DOOR", "done in an hour", 0.5, 0.4),
        Moved("Shell", "hour of labour", 62.0, 70.0),
    )
    assert done.refused == ("STUD: it is priced for bundle of 10, the job counts piece",)
    assert done.saved


def test_each_line_that_moved_and_the_new_total_are_told(job, tmp_path):
    done = reprice(job, read_prices(book(tmp_path / "book.xlsx")))
    # By hand: 10 boards, 40 studs, 1 door; unit costs, and hours at the trade's rate.
    assert [(d.name, d.before, pytest.approx(d.after)) for d in done.lines] == [
        ("BOARD", 10 * 19 + 5 * 62, 10 * 21.5 + 5 * 70),
        ("STUD", pytest.approx(40 * 5.2 + 40 / 7 * 62), 40 * 5.2 + 40 / 7 * 70),
        ("DOOR", 210 + 2 * 68, 260 + 2.5 * 68),
    ]
    (price,) = done.results
    assert price.name == "price"
    assert price.after == pytest.approx(sum(d.after for d in done.lines) / 0.8)


def test_a_trial_changes_nothing(job, tmp_path):
    before = job.read_bytes()
    done = reprice(job, read_prices(book(tmp_path / "book.xlsx")), write=False)
    assert len(done.moved) == 4
    assert not done.saved
    assert job.read_bytes() == before


def test_the_same_prices_again_change_nothing(job, tmp_path):
    prices = read_prices(book(tmp_path / "book.xlsx"))
    reprice(job, prices)
    before = job.read_bytes()
    again = reprice(job, prices)
    assert (again.moved, again.lines, again.saved) == ((), (), False)
    assert job.read_bytes() == before


def test_a_price_level(job, tmp_path):
    path = book(tmp_path / "book.xlsx", levels=(("trade", (18, 40, 200, 1)), ("public", (25, 60, 300, 1))))
    assert read_prices(path).levels == ("public", "trade")
    reprice(job, read_prices(path, "Trade"))
    assert costs(job)["BOARD"] == 18
    with pytest.raises(WorkbookError, match="there is no price level friends: it has public, trade"):
        read_prices(path, "friends")


def test_a_level_with_costs_of_its_own_moves_hours_too(job, tmp_path):
    path = book(tmp_path / "book.xlsx", levels=(("trade", (18, 40, 200, 1)),))
    made = load_workbook(path)
    made["Prices"]["R2"], made["Prices"]["R3"] = 55, 60
    made.defined_names.add(DefinedName("labour_rates_trade", attr_text="Prices!$R$2:$R$3"))
    made.save(path)
    assert [
        (m.code, m.after) for m in reprice(job, read_prices(path, "trade")).moved if m.what == "hour of labour"
    ] == [
        ("Shell", 55.0),
        ("Doors", 60.0),
    ]


def marked_up(path, markup=0.1):
    """A book whose level for usual clients adds a share to costs."""
    made = jobs.estimate()
    made["Prices"]["M1"], made["Prices"]["M2"] = "Usual client", markup
    for name, cell in (("level_b_name", "M$1"), ("level_b_markup", "M$2")):
        made.defined_names.add(DefinedName(name, attr_text=f"Prices!${cell}"))
    path.write_bytes(books.saved(made))
    return path


LEVEL = (
    InputSpec("level_name", "Level.", "text", optional=True),
    InputSpec("level_markup", "Share.", "share", 0, 5, 0),
)


def test_a_level_for_clients_is_a_step_of_the_price_and_leaves_costs_as_they_are(tmp_path):
    made = jobs.estimate(inputs=(*jobs.INPUTS, *LEVEL))
    made["Price"]["B9"] = "=SUM(I2:I4)*(1+level_markup)/(1-margin)"
    job = jobs.saved(made, tmp_path / "job.xlsx")
    done = reprice(job, read_prices(marked_up(tmp_path / "book.xlsx"), "usual client"))
    (price,) = done.results
    assert (done.moved, done.lines, done.saved) == ((), (), True)
    # Materials and labour alike: the whole price is a tenth higher.
    assert price.after == pytest.approx(1.1 * price.before)
    assert Job.open(job).inputs["level_name"].value == "Usual client"


def test_a_job_without_a_place_for_a_mark_up_is_left_as_it_is(job, tmp_path):
    before = job.read_bytes()
    with pytest.raises(WorkbookError, match="it has no place for the mark-up of Usual client"):
        reprice(job, read_prices(marked_up(tmp_path / "book.xlsx"), "Usual client"))
    assert job.read_bytes() == before


@pytest.mark.parametrize(
    ("cost", "told"),
    [
        (None, "is blank or no number: write it in the book"),
        ("on request", "is blank or no number: write it in the book"),
        (0, "is 0: write more than nothing in the book"),
        (-4, "is -4: write more than nothing in the book"),
    ],
)
def test_a_price_that_is_none_is_not_taken(job, tmp_path, cost, told):
    prices = (("BOARD", "Gypsum board", "sheet", cost, "Shell", 2),)
    done = reprice(job, read_prices(book(tmp_path / "book.xlsx", prices=prices, labour=(("Shell", cost),))))
    assert done.refused == (f"BOARD: its cost {told}", f"Shell: its hour {told}")
    assert not done.saved


@pytest.mark.parametrize("rate", [0, -2])
def test_a_rate_of_work_that_is_none_is_not_taken(job, tmp_path, rate):
    prices = (("BOARD", "Gypsum board", "sheet", 20, "Shell", rate),)
    done = reprice(job, read_prices(book(tmp_path / "book.xlsx", prices=prices, labour=())))
    assert done.refused == (f"BOARD: its rate of work is {rate}: write more than nothing in the book",)
    assert not done.saved


def test_two_levels_of_one_name_are_refused(tmp_path):
    made = jobs.estimate()
    for row, name in enumerate(("Usual client", " usual  CLIENT"), start=1):
        made["Prices"].cell(row, 13, name)
        made["Prices"].cell(row, 14, row / 10)
        made.defined_names.add(DefinedName(f"level_{'ab'[row - 1]}_name", attr_text=f"Prices!$M${row}"))
        made.defined_names.add(DefinedName(f"level_{'ab'[row - 1]}_markup", attr_text=f"Prices!$N${row}"))
    path = tmp_path / "book.xlsx"
    path.write_bytes(books.saved(made))
    with pytest.raises(WorkbookError, match="2 price levels are called Usual client: give each its own name"):
        read_prices(path, "usual client")
    assert read_prices(path, "b").level.markup == 0.2


def test_codes_without_a_price_are_told(job, tmp_path):
    done = reprice(job, read_prices(book(tmp_path / "book.xlsx", prices=NEW[:1])))
    assert done.missing == ("STUD", "DOOR")


REFUSED = [
    ((("BOARD", "a", "sheet", 1, "Shell", 2), ("board", "b", "sheet", 2, "Shell", 2)), "the code board has two costs, in rows 2 and 3: keep one"),
    ((("BOARD", "a", "sheet", 1, "Shell", 2), ("board", "b", "sheet", 1, "Shell", 4)), "the code board has two rates of work, in rows 2 and 3: keep one"),
]  # fmt: skip


@pytest.mark.parametrize(("prices", "message"), REFUSED)
def test_a_book_that_contradicts_itself_is_refused(tmp_path, prices, message):
    with pytest.raises(WorkbookError, match=message):
        read_prices(book(tmp_path / "book.xlsx", prices=prices))


def test_a_trade_with_two_hours_is_refused(tmp_path):
    with pytest.raises(WorkbookError, match="the trade shell has two rates of an hour: keep one"):
        read_prices(book(tmp_path / "book.xlsx", labour=(("Shell", 70), ("shell", 60))))


def test_a_workbook_without_prices_is_refused(job, tmp_path):
    bare = tmp_path / "bare.xlsx"
    bare.write_bytes(books.book({"S": {"A1": 1}}))
    with pytest.raises(
        WorkbookError, match="it names no prices: give its columns the names price_codes and price_costs"
    ):
        read_prices(bare)
    with pytest.raises(WorkbookError, match="it has no prices to change"):
        reprice(bare, read_prices(job))


def test_a_price_below_nothing_or_worked_out_in_the_job_is_refused(tmp_path):
    made = jobs.estimate()
    made["Prices"]["D4"] = "=2*105"
    job = jobs.saved(made, tmp_path / "job.xlsx")
    new = (("BOARD", "Gypsum board", "sheet", -4, "Shell", 2), *NEW[2:])
    done = reprice(job, read_prices(book(tmp_path / "book.xlsx", prices=new)))
    assert done.refused == (
        "BOARD: its cost is -4: write more than nothing in the book",
        "DOOR: the unit cost is worked out by a formula in this job, and stays",
    )
    assert costs(job)["BOARD"] == 19


def test_a_job_of_an_older_template_takes_prices_from_sheets_of_other_names(job, tmp_path):
    """Cells are found by their names: the sheets of unit costs and of the job's price had others once."""
    newer = tmp_path / "book.xlsx"
    newer.write_bytes(books.saved(jobs.estimate(prices=NEW, costs="Unit costs", price="Job price")))
    older = book(tmp_path / "older.xlsx")
    assert read_prices(newer).rows == read_prices(older).rows
    assert [move.code for move in reprice(job, read_prices(newer)).moved]

"""What the books of a finished job say, read from CSV and laid beside its lines."""

import pytest

from stillbook.office.actuals.booked import Booked, beside, read_booked
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from workbook import jobs


@pytest.fixture
def package(tmp_path):
    job = Job.open(jobs.saved(jobs.estimate(), tmp_path / "job.xlsx"))
    job.calculate()
    return job.package


def books(tmp_path, text):
    path = tmp_path / "books.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


@pytest.mark.parametrize(
    ("text", "booked"),
    [
        ("code,quantity,hours,money\nSTUD,44,6,230\n", Booked("STUD", 44, 6, 230)),
        ("code,hours\nSTUD,6 h\nSTUD,30 min\n", Booked("STUD", None, 6.5, None)),
        ("Code,Money,Remark\nSTUD,230,late\n", Booked("STUD", None, None, 230)),
        ("code;quantity;money\nSTUD;44;1 230,5\n", Booked("STUD", 44, None, 1230.5)),
        ('code,money\nSTUD,"1,230.50"\n', Booked("STUD", None, None, 1230.5)),
        ("\ufeffcode\tquantity\thours\nSTUD\t44\t\n", Booked("STUD", 44, None, None)),
        ("code,quantity,money\nSTUD,40,200\n\nstud,4,30\nSTUD,,-5\n", Booked("STUD", 44, None, 225)),
    ],
)
def test_rows_are_read_and_added_by_code(tmp_path, text, booked):
    assert read_booked(books(tmp_path, text)) == {"stud": booked}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "its first line does not name the column code"),
        ("quantity,money\n1,2\n", "its first line does not name the column code"),
        ("code,money,money\nSTUD,1,2\n", "it has the column money twice"),
        ("code,money\nSTUD,about 5\n", 'line 2: money "about 5" is not understood: write it as 1234.50'),
        ("code;money\nSTUD;1,234\n", 'line 2: money "1,234" is not understood'),
        ("code,money\n,5\n", "line 2: it has no code"),
        ("code,money\n", "it holds no row with a code"),
        ("code,money\nSTUD,5\nSTUD,-9\n", "line 3: money of STUD adds up to -4, less than nothing: check the sign"),
        ("code,hours\nSTUD,5\nDOOR,-3 h\n", "line 3: hours of DOOR adds up to -3"),
        ("code,hours\nSTUD,6000000\n", "line 2: hours 6,000,000 of STUD cannot be: it lies from 0 to 100,000"),
        ("code,hours\nSTUD,six\n", 'line 2: "six" is not understood as a quantity in h'),
        ("code,hours\nSTUD,6 m\n", 'line 2: "6 m" is a length where a quantity in h is needed'),
        ("code,money\nSTUD,9e9\n", 'line 2: money "9e9" is not understood: write it as 1234.50'),
        ('code,money\n"STUD,5\n', "check its quotes"),
        (b"code,money\nT\xfcr,5\n", "save it as CSV in UTF-8"),
    ],
)
def test_books_that_are_refused(tmp_path, text, told):
    with pytest.raises(WorkbookError, match=r"books\.csv") as refused:
        read_booked(books(tmp_path, text))
    assert told in str(refused.value)


def test_a_line_and_its_trade_beside_the_books(tmp_path, package):
    """By hand: 40 studs at 5.20 are 208 and their 40 / 7 h at 62 are 354.29; booked are 230 and 6 h, 602 in all."""
    booked = read_booked(
        books(tmp_path, "code,quantity,hours,money\nstud,44,6,230\nDOOR,1,,250\nshell,,3,\nHIRE,,,90\n")
    )
    lines, trades = beside(tmp_path / "job.xlsx", package, booked)
    by_code = {line.code: line for line in lines}
    assert list(by_code) == ["BOARD", "STUD", "DOOR", "HIRE"]
    stud, hire = by_code["STUD"], by_code["HIRE"]
    assert (stud.quantity, stud.money, round(stud.labour, 2), stud.actual) == (40, 208, 354.29, 602)
    assert (by_code["BOARD"].booked, by_code["BOARD"].actual, by_code["DOOR"].actual) == (None, None, 250)
    assert (hire.trade, hire.cost, hire.actual) == ("", 0, 90)
    shell, doors = trades
    assert (shell.text, shell.booked, shell.actual) == ("Shell", Booked("Shell", None, 9, 230), 230 + 9 * 62)
    assert (doors.text, doors.actual) == ("Doors", 250)


def test_hours_of_a_trade_without_a_wage_have_no_cost(tmp_path, package):
    lines, _ = beside(tmp_path, package, read_booked(books(tmp_path, "code,hours\nSTUD,1\nHIRE,5\n")))
    assert lines[-1].actual is None


def test_books_of_another_job_are_refused(tmp_path, package):
    with pytest.raises(WorkbookError, match="none of its codes or trades is in the books, which have PIPE, BEND"):
        beside(tmp_path, package, read_booked(books(tmp_path, "code,money\nPIPE,5\nBEND,6\n")))

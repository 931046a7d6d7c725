"""Lines of one's own, assemblies and lines switched off in the life of a job: shared, bid for, compared, carried, repriced."""

import openpyxl
import pytest

from stillbook.office.bids import compare_bids
from stillbook.office.carry import carry
from stillbook.office.compare import compare
from stillbook.office.reprice import Moved, read_prices, reprice
from stillbook.share.copies import share
from stillbook.templates.demo import values as demo_values
from stillbook.templates.shipped import template
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import column, lines

OWN = {
    "own_codes_1": "METERING", "own_texts_1": "Metering panel", "own_quantities_1": 4, "own_units_1": "piece",
    "own_costs_1": 51.37, "own_hours_1": 1.5, "own_trades_1": "Shell", "own_readers_1": "client and contractor",
    "own_codes_2": "WALL", "own_quantities_2": 100,
    "off_lines_1": "Cooling unit", "off_reasons_1": "the client has one",
}  # fmt: skip


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    """The demo with a line of one's own, an assembly and a line that is off."""
    made = Job.open(template("booth-estimate").path("US"))
    made.set(demo_values() | OWN)
    made.calculate()
    return made.save(tmp_path_factory.mktemp("job") / "job.xlsx")


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    made = Job.open(template("booth-estimate").path("US"))
    made.set(demo_values())
    made.calculate()
    return made.save(tmp_path_factory.mktemp("plain") / "plain.xlsx")


@pytest.fixture(scope="module")
def scope(job, tmp_path_factory):
    path = tmp_path_factory.mktemp("scope") / "scope.xlsx"
    share(job, path, "contractor")
    return path


def line_of(path, text):
    """A line of a workbook as it was saved, calculated."""
    return next(entry for entry in lines(Package.open(path)) if entry.text == text)


def test_a_contractors_copy_has_the_line_and_no_cost(scope):
    cells = [str(value) for sheet in openpyxl.load_workbook(scope) for row in sheet.values for value in row]
    assert "Metering panel" in cells
    assert not any("51.37" in cell or "the client has one" in cell for cell in cells)
    assert not {"Cooling unit", "Wall of two separate leaves, two boards each, both frames filled"} & set(cells)


def test_a_bid_for_the_line_is_compared(job, scope, tmp_path):
    made = openpyxl.load_workbook(scope)
    sheet = made["Scope"]
    row = next(cell.row for cell in sheet["C"] if cell.value == "Metering panel")
    sheet.cell(row, 7, 160)
    made.save(tmp_path / "bid.xlsx")
    found = next(
        entry for entry in compare_bids([tmp_path / "bid.xlsx"], job).lines if entry.line.text == "Metering panel"
    )
    # 51.37 and an hour and a half at 62.
    assert found.our_price == pytest.approx(51.37 + 1.5 * 62)
    assert list(found.prices.values()) == [160]


def test_a_comparison_tells_what_is_off_and_what_each_line_costs(plain, job):
    found = compare(plain, job)
    assert [(d.name, d.after) for d in found.of("off")] == [("Cooling unit", "the client has one")]
    costs = {d.label: (d.before, d.after) for d in found.of("line")}
    assert costs["Metering panel"] == (None, pytest.approx(4 * (51.37 + 1.5 * 62)))
    assert costs["Cooling unit"][1] is None


def test_a_line_whose_text_counts_pieces_is_compared_with_itself(plain, tmp_path):
    wider = Job.open(plain)
    wider.set({"room_length": 11})
    wider.calculate()
    found = compare(plain, wider.save(tmp_path / "wider.xlsx"))
    studs = [d for d in found.of("quantity") if d.name == "STUD"]
    assert len(studs) == 2
    assert all(d.only == "" and d.change > 0 for d in studs)
    assert all(d.change > 0 for d in found.of("line") if d.name == "STUD")


def test_own_lines_assemblies_and_reasons_are_carried(job, tmp_path):
    source = Job.open(job)
    sheet, area = column(source.package, "part_wastes")
    source.package.write({sheet: {(area.first_row, area.first_column): Change(0.25)}})
    source.calculate()
    old = source.save(tmp_path / "old.xlsx")
    done = carry(old, template("booth-estimate").path("US"), tmp_path / "new.xlsx")
    new = Job.open(done.path)
    assert {name: new.inputs[name].value for name in OWN} == OWN
    assert not [entry for entry in done.left if "own_" in entry.place or "part" in entry.reason]
    assert not [d for d in done.results if d.subject in ("line", "off")]


def test_a_formula_of_the_estimators_is_carried_by_its_value_and_told(plain, tmp_path):
    made = openpyxl.load_workbook(plain)
    inputs = Job.open(plain).inputs
    at = inputs["own_quantities_2"]
    made[at.sheet][at.cell] = "=2*room_length"
    for name, value in (
        ("own_texts_2", "Rail"),
        ("own_units_2", "ft"),
        ("own_costs_2", 3),
        ("own_readers_2", "contractor"),
    ):
        entry = inputs[name]
        made[entry.sheet][entry.cell] = value
    made.save(tmp_path / "rail.xlsx")
    rail = Job.open(tmp_path / "rail.xlsx")
    rail.calculate()
    assert line_of(rail.save(tmp_path / "calculated.xlsx"), "Rail").quantity == 19
    done = carry(tmp_path / "rail.xlsx", template("booth-estimate").path("US"), tmp_path / "new.xlsx")
    assert line_of(done.path, "Rail").quantity == 19
    assert "own_quantities_2 was worked out: its value is carried" in {entry.reason for entry in done.left}


def test_repricing_gives_a_line_its_cost_and_an_assembly_its_parts(job, tmp_path):
    book = Job.open(template("price-book").path("US"))
    changes = {}

    def put(name, row, value):
        sheet, area = column(book.package, name)
        changes.setdefault(sheet, {})[area.first_row + row, area.first_column] = Change(value)

    codes = [row[0] for row in book.package.rows(*column(book.package, "price_codes"))]
    blank = codes.index(None)
    for name, value in (
        ("codes", "METERING"), ("texts", "Metering panel"), ("units", "piece"), ("costs", 60), ("trades", "Wiring"), ("rates", 0.5),
    ):  # fmt: skip
        put(f"price_{name}", blank, value)
    put("part_wastes", 0, 0.4)
    book.package.write(changes)
    book.calculate()
    path = book.save(tmp_path / "book.xlsx")
    target = Job.open(job).save(tmp_path / "job.xlsx")
    done = reprice(target, read_prices(path))
    assert Moved("METERING", "unit cost", 51.37, 60.0) in done.moved
    assert Moved("METERING", "hours each", 1.5, 2.0) in done.moved
    assert Moved("WALL: Gypsum board 5/8 in type X", "waste", 0.15, 0.4) in done.moved
    assert not {"METERING", "WALL"} & set(done.missing)
    assert line_of(target, "Metering panel").cost == pytest.approx(4 * (60 + 2 * 62))
    wall = {d.name: d.change for d in done.lines}["WALL"]
    # An eighth of a sheet of 19 to the square foot, a quarter of it more, by cents to the square foot.
    assert wall == pytest.approx(100 * 0.125 * 19 * 0.25, abs=1)

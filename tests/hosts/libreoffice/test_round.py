"""An estimate that was changed and saved in LibreOffice, without our extension, goes on through the commands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from hosts.libreoffice.calc import Calc, own_office, running
from stillbook.cli import stillbook
from stillbook.cli.failures import guarded
from stillbook.templates.demo import values as demo_values
from stillbook.templates.shipped import template
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job

pytestmark = pytest.mark.host

LENGTH = 10
NOTES = {
    "A1": "Site visit (invented)",
    "A2": "'=1+1 was written on the door",
    "B3": "=price_before_tax*2",
    "B4": "=SUM(line_cost)",
}


def price(path: Path) -> float:
    package = Package.open(path)
    sheet, area = next(name.cells for name in package.names if name.name == "price_before_tax" and name.cells)
    value = package.value(sheet, area.first_row, area.first_column)
    assert isinstance(value, float)
    return value


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The demo estimate as it was, and as LibreOffice saved it with another input and a sheet more."""
    folder = tmp_path_factory.mktemp("round")
    job = Job.open(template("booth-estimate").path("US"))
    job.set(demo_values())
    job.save(folder / "first.xlsx")
    assert guarded(stillbook, ["convert", str(folder / "first.xlsx"), str(folder / "calc.xlsx"), "--for", "libreoffice"]) == 0  # fmt: skip
    entry = job.inputs["room_length"]
    with running(own_office(folder), folder) as calc:
        change(calc, folder, entry.sheet, entry.cell)
    job.set({"room_length": LENGTH})
    job.save(folder / "wanted.xlsx")
    yield folder


def change(calc: Calc, folder: Path, sheet: str, cell: str) -> None:
    calc.open(folder / "calc.xlsx")
    calc.ask("type", sheet, cell, str(LENGTH))
    calc.ask("add_sheet", "Our notes")
    calc.ask("type_all", "Our notes", NOTES)
    calc.save(folder / "changed.xlsx")


def test_what_calc_saved_goes_on(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:  # fmt: skip
    monkeypatch.chdir(folder)
    assert guarded(stillbook, ["calc", "changed.xlsx"]) == 0
    wanted = price(Path("wanted.xlsx"))
    assert price(Path("changed.xlsx")) == pytest.approx(wanted, rel=1e-9) != price(Path("first.xlsx"))
    package = Package.open(Path("changed.xlsx"))
    assert package.value("Our notes", 2, 1) == "=1+1 was written on the door"
    assert package.value("Our notes", 3, 2) == pytest.approx(2 * wanted, rel=1e-9)

    for reader, sheet in (("client", "Proposal"), ("contractor", "Scope")):
        assert guarded(stillbook, ["share", "changed.xlsx", f"{reader}.xlsx", "--for", reader]) == 0
        assert Package.open(Path(f"{reader}.xlsx")).sheets == [sheet, "Drawing"]
    assert b"Site visit" not in b"".join(Path(f"{reader}.xlsx").read_bytes() for reader in ("client", "contractor"))

    capsys.readouterr()
    assert guarded(stillbook, ["carry", "changed.xlsx", "carried.xlsx", "--to", "booth-estimate"]) == 0
    told = capsys.readouterr().out
    assert price(Path("carried.xlsx")) == pytest.approx(wanted, rel=1e-9)
    assert Job.open("carried.xlsx").inputs["room_length"].value == LENGTH
    assert "Not carried, 1 in all" in told
    assert "sheet Our notes 4 filled cells" in " ".join(told.split())

    book = Job.open("first.xlsx")
    sheet, area = next(name.cells for name in book.package.names if name.name == "price_costs" and name.cells)
    costs = {at: value for at in area.cells() if isinstance(value := book.package.value(sheet, *at), float)}
    book.write({sheet: {at: Change(cost + 1) for at, cost in costs.items()}})
    book.save("book.xlsx")
    assert guarded(stillbook, ["reprice", "changed.xlsx", "--prices", "book.xlsx"]) == 0
    package = Package.open(Path("changed.xlsx"))
    assert {at: package.value(sheet, *at) for at in costs} == {at: cost + 1 for at, cost in costs.items()}
    assert price(Path("changed.xlsx")) > wanted
    assert package.value("Our notes", 1, 1) == "Site visit (invented)"

"""What a recalculation in Calc asks: each question once, however many cells take a value of its answer."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest

from hosts.libreoffice.calc import Calc, connected
from stillbook.workbook.calculation.engine import evaluate

pytestmark = pytest.mark.host

BANDS = 16


@pytest.fixture(scope="module")
def running_calc(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Calc]:
    with connected(tmp_path_factory.mktemp("calls"), noted=True) as calc:
        yield calc


@pytest.fixture
def calc(running_calc: Calc) -> Calc:
    running_calc.new()
    asked(running_calc)
    return running_calc


def asked(calc: Calc, *read: str) -> list[tuple[str, list[object]]]:
    """What was asked since the last time, with what some cells ask as they are read."""
    calc.values(*read)
    file = calc.folder / "asked"
    lines = file.read_text().splitlines() if file.is_file() else []
    file.write_text("")
    return [(call["name"], call["arguments"]) for call in map(json.loads, lines)]


def test_sixteen_cells_of_one_row_are_one_call(calc: Calc) -> None:
    calc.ask("type_all", 0, {"A1": "50", "A2": "52"})
    for row in (1, 2):
        cells = {f"{chr(ord('B') + k)}{row}": f"=INDEX(STILL_STCCONTOUR($A{row});1;{k + 1})" for k in range(BANDS)}
        calc.ask("type_all", 0, cells)
        found = calc.values(*cells)
        whole = evaluate(f"STILL_STCCONTOUR({48 + 2 * row})")
        assert isinstance(whole, list)
        assert list(found.values()) == pytest.approx(whole[0])
    assert asked(calc) == [("STCCONTOUR", [50.0]), ("STCCONTOUR", [52.0])]


def test_a_changed_input_asks_for_what_it_feeds_alone(calc: Calc) -> None:
    calc.ask("type_all", 0, {"A1": "36", "A2": "72"})
    typed = {f"B{row}": f"=STILL_DOORMASS({row};1;A{1 + row % 2};80)" for row in range(1, 21)}
    calc.ask("type_all", 0, typed)
    assert len(asked(calc, *typed)) == len(typed)
    calc.ask("recalculate")
    assert asked(calc) == []
    calc.ask("type", 0, "A1", "48")
    assert sorted(asked(calc, *typed)) == [("DOORMASS", [float(row), 1.0, 48.0, 80.0]) for row in range(2, 21, 2)]
    calc.ask("type", 0, "A1", "36")
    assert asked(calc, *typed) == [], "what was asked before is known"
    ranges = {f"C{row}": f"=INDEX(STILL_DOORMASS(60;1;A$1:A$2;80);{row})" for row in (1, 2)}
    calc.ask("type_all", 0, ranges)
    assert asked(calc, *ranges) == [("DOORMASS", [60.0, 1.0, [[36.0], [72.0]], 80.0])]

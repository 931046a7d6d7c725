import threading
import time
import weakref

import pytest

from stillbook.cells import Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.answers import Answers, to_engine
from stillbook.workbook.calculation.engine import Engine, evaluate, within

VALUES = [
    ("1+1", 2.0),
    ("=1+1", 2.0),
    (' = "a" & "b" ', "ab"),
    ("=1=1", True),
    ('=STILL_SURFACEMASS("2.2 lb/ft²")', 2.2),
    ('=STILL_QUANTITY("1 ft","in")+STILL_QUANTITY("1 ft","in")', 24.0),
    ('=SUM(STILL_QUANTITY({"1 ft";"2 ft"},"in"))', 36.0),
    ('=STILL_QUANTITY({"1 ft","2 ft"},"in")', [[12.0, 24.0]]),
    ("={1,2;3,4}*2", [[2.0, 4.0], [6.0, 8.0]]),
    # INDEX into what a formula gives (OpenFormula INDEX): row and column, one number along a row or column, 0 for all
    ('=INDEX(STILL_QUANTITY({"1 ft","2 ft";"3 ft","4 ft"},"ft"),2,1)', 3.0),
    ('=INDEX(STILL_QUANTITY({"1 ft","2 ft"},"ft"),2)', 2.0),
    ('=INDEX(STILL_QUANTITY({"1 ft";"2 ft"},"ft"),2)', 2.0),
    ('=INDEX(STILL_QUANTITY({"1 ft","2 ft";"3 ft","4 ft"},"ft"),2,0)', [[3.0, 4.0]]),
    ('=SUM(INDEX(STILL_QUANTITY({"1 ft","2 ft";"3 ft","4 ft"},"ft"),0,2))', 6.0),
    ('=INDEX(STILL_QUANTITY("1 ft","ft"),1,1.9)', 1.0),
    ('=INDEX(_xldudf_STILL_QUANTITY({"1 ft","2 ft"},"ft"),1,1+1)', 2.0),
    ("=DATE(2024,1,1)", 45292.0),
    ("=ROUNDUP((0.1+0.2)*10,0)", 3.0),
    ("=ROUND(0.1+0.2,1)", 0.3),
    ("=A1", 0.0),
    ('=IFERROR(STILL_QUANTITY("x","ft"),7)', 7.0),
    ('=STILL_WHY("SURFACEMASS","x")', 'leaf: the material "x" is not in the table: give a name from STILL_MATERIALS'),
]  # fmt: skip


@pytest.mark.parametrize(("formula", "value"), VALUES)
def test_a_formula_has_a_value(formula, value):
    found = evaluate(formula)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    "call",
    [
        "STILL_QUANTITY",
        "still_quantity",
        "STILL.QUANTITY",
        "_xldudf_STILL_QUANTITY",
        "_xludf.STILL_QUANTITY",
        "[1]!STILL_QUANTITY",
        "'C:\\add ins\\still.xlam'!STILL_QUANTITY",
    ],
)
def test_every_spelling_calculates(call):
    assert evaluate(f'={call}("1 ft","in")') == 12.0


ERRORS = [
    ('=STILL_QUANTITY("3 lb","ft")', Code.VALUE, '"3 lb" is a mass where a quantity in ft is needed (ft)'),
    ('=1+STILL_QUANTITY("3 lb","ft")', Code.VALUE, '"3 lb" is a mass where a quantity in ft is needed (ft)'),
    ('=INDEX(STILL_QUANTITY("3 lb","ft"),1,3)', Code.VALUE, '"3 lb" is a mass where a quantity in ft is needed (ft)'),
    (
        '=INDEX(STILL_QUANTITY("1 ft","ft"),1,2)',
        Code.REFERENCE,
        "it refers to a cell, a sheet, a table or a row of one that does not exist",
    ),
    (
        '=INDEX(STILL_QUANTITY("1 ft","ft"),-1,1)',
        Code.VALUE,
        "it calculates with text where a number is needed, or with ranges that differ in size",
    ),
    ('=STILL_QUANTITY(,"ft")', Code.NOT_AVAILABLE, "text is blank: give text"),
    ('=STILL_QUANTITY("1 ft",)', Code.NOT_AVAILABLE, "unit is blank: give text"),
    ('=STILL_QUANTITY("1 ft")', Code.NOT_AVAILABLE, "unit is blank: give text"),
    ("=STILL_FLOORLOAD(-1,2,2)", Code.NUMBER, "mass is -1 lb: give more than 0 lb"),
    ('=STILL_TOTALMASS("88 lb",20)', Code.VALUE, 'leaf: "88 lb" is a mass where a mass per area is needed'),
    ('=STILL_QUANTITY(STILL_QUANTITY("x","ft"),"in")', Code.VALUE, '"x" is not understood as a quantity in ft'),
    ('=IFERROR(STILL_QUANTITY("x","ft"),1/0)', Code.DIVISION, "it divides by zero or by a blank cell"),
    ("=STILL_NOSUCH(1)", Code.NAME, "there is no formula STILL_NOSUCH"),
    ("=NOSUCH(1)", Code.NAME, "NOSUCH is not a function that is calculated here"),
    ("=nosuch+1", Code.NAME, '"nosuch" is not a name that is known here'),
    ("=1/0", Code.DIVISION, "it divides by zero"),
    ('="a"+1', Code.VALUE, "text where a number is needed"),
    ("=SQRT(-1)", Code.NUMBER, "no answer"),
    ("=NA()", Code.NOT_AVAILABLE, "it says NA()"),
    ("=1E400", Code.NUMBER, "too large"),
]


@pytest.mark.parametrize(("formula", "code", "reason"), ERRORS)
def test_an_error_has_a_reason(formula, code, reason):
    found = evaluate(formula)
    assert isinstance(found, ErrorValue)
    assert found.code == code
    assert reason in found.reason


def test_each_error_in_rows_has_its_own_reason():
    (first,), (second,), (third,) = evaluate('=STILL_QUANTITY({"1 ft";"2 kg";"x"},"in")')
    assert first == 12.0
    assert second.reason == '"2 kg" is a mass where a quantity in in is needed (in)'
    assert '"x" is not understood' in third.reason


@pytest.mark.parametrize("formula", ["", "=", "=SUM(1,", "=1 2", '="a', "=)"])
def test_what_is_no_formula(formula):
    with pytest.raises(WorkbookError, match="cannot be read: check its brackets, quotes and commas"):
        evaluate(formula)


# --- answers ----------------------------------------------------------------------------------------------------------


class Counted:
    """A formula that counts its calls."""

    name = "COUNTED"

    def __init__(self):
        self.calls = []

    def __call__(self, *values):
        self.calls.append(values)
        return float(len(self.calls))


@pytest.mark.parametrize(
    ("first", "second", "same"),
    [
        ((1.0, "a"), (1.0, "a"), True),
        (([[1.0], [None]],), ([[1.0], [None]],), True),
        ((1.0,), (True,), False),
        ((0.0,), ("",), False),
        ((0.0,), (None,), False),
        ((1.0,), (1.0, None), False),
        (([[1.0, 2.0]],), ([[1.0], [2.0]],), False),
        (({"type": "Error", "kind": "Na"},), ({"type": "Error", "kind": "Num"},), False),
    ],
)
def test_equal_calls_are_answered_once(first, second, same):
    entry, answers = Counted(), Answers()
    answers(entry, first)
    answers(entry, second)
    assert len(entry.calls) == (1 if same else 2)


def test_a_fault_in_a_formula_is_an_error_with_a_reason():
    entry = Counted()
    entry.workbook_name = "STILL_COUNTED"
    entry.calls = None  # as a fault in our own code would leave it
    found, given = Answers()(entry, (1.0,))
    assert found.code == Code.VALUE
    assert found.reason.startswith("STILL_COUNTED failed on these inputs ('NoneType' object has no attribute 'append')")
    assert given == {"type": "Error", "kind": "Value"}


def test_an_engine_error_reaches_a_formula_as_an_error():
    entry = Counted()
    Answers()(entry, ([[{"type": "Error", "kind": "Div"}, 1.0]], {"type": "Error", "kind": "Spill"}))
    assert entry.calls == [([[ErrorValue(Code.DIVISION), 1.0]], ErrorValue(Code.VALUE))]


@pytest.mark.parametrize(
    ("answer", "given"),
    [
        (3, 3.0),
        (True, True),
        (None, ""),
        (float("nan"), {"type": "Error", "kind": "Num"}),
        (float("inf"), {"type": "Error", "kind": "Num"}),
        (ErrorValue(Code.NOT_AVAILABLE, "why"), {"type": "Error", "kind": "Na"}),
        ([], {"type": "Error", "kind": "Na"}),
        ([[]], {"type": "Error", "kind": "Na"}),
        ([1, 2], [[1.0], [2.0]]),
        ([["a", 1], ["b"]], [["a", 1.0], ["b", ""]]),
    ],
)
def test_an_answer_takes_a_form_the_engine_knows(answer, given):
    assert to_engine(answer) == given


# --- time -------------------------------------------------------------------------------------------------------------


def test_a_calculation_that_hangs_is_given_up():
    released = threading.Event()

    def hang(engine):
        engine.register("HANG", lambda *_: (released.wait(30), 1.0)[1])
        engine.set_formula(("Sheet1", 1, 1), "=HANG()")
        engine.evaluate()

    start = time.monotonic()
    try:
        with pytest.raises(WorkbookError, match=r"longer than 0\.2 seconds to calculate and was stopped"):
            within(0.2, Engine, hang)
    finally:
        released.set()
    assert time.monotonic() - start < 20


def test_many_calculations_at_once_agree():
    found = []

    def run():
        found.append(evaluate('=SUM(STILL_QUANTITY({"1 ft";"2 ft";"3 ft"},"in"))'))

    threads = [threading.Thread(target=run) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert found == [72.0] * 8


def test_an_engine_goes_with_its_last_user():
    engine = Engine()
    engine.set_formula(("Sheet1", 1, 1), '=STILL_QUANTITY("1 ft","in")')
    engine.evaluate()
    held = weakref.ref(engine)
    del engine
    assert held() is None

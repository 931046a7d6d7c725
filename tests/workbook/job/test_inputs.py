import datetime
import io
from dataclasses import replace

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.worksheet.datavalidation import DataValidation

from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.entered import read_entered
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputError, InputSpec
from stillbook.workbook.job.interface import Input, interface
from stillbook.workbook.job.notes import CHECKS_NOTE, keep_note
from stillbook.workbook.job.results import ResultSpec
from workbook import books, office

LENGTH = InputSpec("room_length", "Inside length.", "ft", 3, 60, 7)
FLOOR = InputSpec("floor_capacity", "What it carries.", "kg/m²", 50, 5000, load=True)
LAYER = InputSpec("inner_material_1", "First layer.", material=True)
COUNT = InputSpec("people", "The most at one time.", "people", 1, 50, 2, whole=True)

NOTES = [
    (LENGTH, "Inside length. | unit: ft | from: 3 | to: 60 | default: 7"),
    (COUNT, "The most at one time. | unit: people | from: 1 | to: 50 | default: 2 | whole"),
    (InputSpec("door", "A pair or one.", choices=("pair", "single"), default="pair"), "A pair or one. | choices: pair; single | default: pair"),
    (InputSpec("client", "Name on the proposal.", "text"), "Name on the proposal. | text"),
    (InputSpec("day", "Date.", "date", optional=True), "Date. | unit: date | optional"),
    (InputSpec("margin", "Share.", "share", 0, 1, 0.05), "Share. | unit: share | from: 0 | to: 1 | default: 0.05"),
    (InputSpec("sheet", "Sheet material.", default="Plywood"), "Sheet material. | default: Plywood"),
    (InputSpec("sheet", "Sheet material."), "Sheet material. | any"),
    (FLOOR, "What it carries. | unit: kg/m² | from: 50 | to: 5000 | load"),
    (InputSpec("flow", "Blank for the rule.", "cfm", least=5, optional=True), "Blank for the rule. | unit: cfm | from: 5 | optional"),
    (InputSpec("small", "", "in", 0.0000125), "| unit: in | from: 1.25e-05"),
    (ResultSpec("price", "Price", "USD"), "Price | result | unit: USD"),
    (ResultSpec("state", "Fails"), "Fails | result"),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "note"), NOTES)
def test_a_spec_is_written_as_a_note(spec, note):
    assert spec.comment() == note


def read_back(note):
    """What a workbook with this note on a name says."""
    return interface(books.package({"B2": None, "C3": 1}, {"it": ("S!$B$2", note)}))


@pytest.mark.parametrize(("spec", "note"), [row for row in NOTES if isinstance(row[0], InputSpec)])
def test_a_note_is_read_as_the_spec(spec, note):
    found = read_back(note).inputs["it"]
    assert InputSpec(**{**_fields(found.spec), "name": spec.name}) == spec
    assert (found.sheet, found.cell, found.value) == ("S", "B2", None)


def _fields(spec):
    return {name: getattr(spec, name) for name in InputSpec.__slots__}


@settings(deadline=None)
@given(
    st.text(st.characters(exclude_characters="|", exclude_categories=["Cs", "Cc", "Zl", "Zp"]), max_size=60),
    st.sampled_from(["", "ft", "lb/ft²", "people", "text", "date"]),
    st.none() | st.floats(-1e6, 1e6).map(lambda x: float(f"{x:.12g}")),
    st.booleans(),
    st.booleans(),
    st.booleans(),
)
def test_any_note_reads_back(help_text, unit, least, optional, whole, difference):
    spec = InputSpec(
        "it", " ".join(help_text.split()), unit, least=least, optional=optional, whole=whole, difference=difference
    )
    assert read_back(spec.comment()).inputs["it"].spec == spec


@pytest.mark.parametrize(
    ("spec", "message"),
    [
        (InputSpec("it", "x" * 250, "ft"), "its note has 261 characters: shorten the help to fit in 255"),
        (InputSpec("it", "this | that"), r"may not hold the mark \|"),
        (InputSpec("it", choices=("a;b",)), "may not hold a semicolon"),
        (ResultSpec("it", "a | b"), r"may not hold the mark \|"),
    ],
)
def test_a_note_that_cannot_be_written(spec, message):
    with pytest.raises(ValueError, match=message):
        spec.comment()


def test_a_note_that_cannot_be_read():
    with pytest.raises(WorkbookError, match='note on the name it says "from: low": write a number there'):
        read_back("Length. | unit: ft | from: low")


@pytest.mark.parametrize("note", ["", "Only a remark", "see the drawing | rev B", "a: b | c: d"])
def test_a_name_with_another_note_is_no_input(note):
    assert read_back(note).inputs == {}


# --- values -----------------------------------------------------------------------------------------------------------

TAKEN = [
    (LAYER, "5/8 drywall", "Gypsum board 5/8 in type X"),
    (LAYER, "15 mm plasterboard", "Gypsum board 15 mm"),
    (LAYER, "plywood, 3/4 in", "plywood, 3/4 in"),
    (InputSpec("added", choices=("Plywood 3/4 in", "none")), "3/4 ply", "Plywood 3/4 in"),
    (LENGTH, 7, 7.0),
    (LENGTH, 3.25, 3.25),
    (LENGTH, "7.5", 7.5),
    (LENGTH, "36 in", 3.0),
    (LENGTH, "8'-6\"", 8.5),
    (LENGTH, "2.7 m", 8.85826771654),
    (LENGTH, " 8 ft ", 8.0),
    (InputSpec("m", unit="lb/ft²"), "10.742 kg/m²", 10.742 * 0.3048**2 / 0.45359237),
    (FLOOR, "5 kN/m²", 5000 / 9.80665),
    (FLOOR, "5 kPa", 5000 / 9.80665),
    (FLOOR, "100 lbf/ft²", 100 * 0.45359237 / 0.3048**2),
    (FLOOR, "100 psf", 100 * 0.45359237 / 0.3048**2),
    (FLOOR, "500 kg/m²", 500.0),
    (InputSpec("rise", unit="°F", difference=True), "10 °C", 18.0),
    (InputSpec("rise", unit="°F", difference=True), "5 K", 9.0),
    (InputSpec("rise", unit="K", difference=True), "9 °F", 5.0),
    (InputSpec("room", unit="°F"), "20 °C", 68.0),
    (InputSpec("q", unit="cfm"), "12 L/s", 0.012 * 60 / 0.3048**3),
    (InputSpec("t", unit="min", least=5), "1.5 h", 90.0),
    (InputSpec("d", unit="days"), "2 weeks", 14.0),
    (LAYER, "gypsum board, 5/8 in type X", "gypsum board, 5/8 in type X"),
    (LAYER, "12 kg/m²", "12 kg/m²"),
    (LAYER, "45 lb/ft³", "45 lb/ft³"),
    (LAYER, 2.2, 2.2),
    (COUNT, "3", 3.0),
    (COUNT, "3 people", 3.0),
    (InputSpec("price", unit="USD"), "1,250.50", 1250.5),
    (InputSpec("price", unit="USD"), "1250 usd", 1250.0),
    (InputSpec("margin", unit="share", most=1), "15%", 0.15),
    (InputSpec("margin", unit="share", most=1), 0.15, 0.15),
    (InputSpec("factor", least=0, most=2), "0.8", 0.8),
    (InputSpec("factor", default=1.0), "80 %", 0.8),
    (InputSpec("door", choices=("pair", "single")), "PAIR", "pair"),
    (InputSpec("door", choices=("two doors", "one")), " two   doors", "two doors"),
    (InputSpec("spacing", unit="in", choices=("16", "24")), 16, 16.0),
    (InputSpec("spacing", unit="in", choices=("16", "24")), "2 ft", 24.0),
    (InputSpec("client", unit="text"), "=1+1", "=1+1"),
    (InputSpec("client", unit="text"), " Ana & Co <x> ", " Ana & Co <x> "),
    (InputSpec("client", unit="text"), 7, "7"),
    (InputSpec("client", unit="text", optional=True), None, None),
    (InputSpec("client", unit="text", optional=True), "  ", None),
    (InputSpec("sheet"), "Plywood 3/4 in", "Plywood 3/4 in"),
    (InputSpec("sheet"), "2.5 lb/ft²", "2.5 lb/ft²"),
    (InputSpec("sheet"), "2.5", 2.5),
    (InputSpec("sheet"), 2, 2.0),
    (InputSpec("day", unit="date"), "2026-03-31", 46112.0),
    (InputSpec("day", unit="date"), datetime.date(2026, 3, 31), 46112.0),
    (InputSpec("day", unit="date"), datetime.datetime(2026, 3, 31, 12), 46112.0),
    (InputSpec("day", unit="date"), 46112, 46112.0),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "value", "kept"), TAKEN)
def test_a_value_is_taken(spec, value, kept):
    found = spec.read(value)
    assert found == (pytest.approx(kept, rel=1e-11) if isinstance(kept, float) else kept)
    assert type(found) is type(kept)


TYPED = [
    (LAYER, "5/8 drywall", "Gypsum board 5/8 in type X"),
    (InputSpec("added", choices=("Plywood 3/4 in", "none")), "3/4 ply", "Plywood 3/4 in"),
]


@pytest.mark.parametrize(("spec", "typed", "name"), TYPED)
def test_a_word_typed_in_a_cell_becomes_the_name_of_the_table_and_is_told(spec, typed, name):
    entered = read_entered({spec.name: Input(spec, "Inputs", "C5", typed)})
    assert entered.changes == {"Inputs": {(5, 3): Change(name)}}
    assert entered.read == [f'{spec.name} (Inputs!C5): "{typed}" is read as "{name}"']


@pytest.mark.parametrize("typed", ["Plywood 3/4 in", "PLYWOOD, 3/4 in", "2.5 lb/ft²"])
def test_a_name_in_another_spelling_stays_as_typed(typed):
    entered = read_entered({LAYER.name: Input(LAYER, "Inputs", "C5", typed)})
    assert (entered.changes, entered.read, entered.refused) == ({}, [], [])


def test_a_day_counts_from_1904_where_the_workbook_does():
    assert InputSpec("day", unit="date").read("2026-03-31", starts_1904=True) == 46112 - 1462


REFUSED = [
    (LAYER, "1/2 drywall", 'inner_material_1: the material "1/2 drywall" is not in the table: did you mean "Gypsum board 1/2 in" or "Gypsum board 1/2 in type X"?'),
    (LAYER, "ply", 'inner_material_1: the material "ply" is not in the table: did you mean "Plywood 1/4 in", "Plywood 3/8 in"'),
    (InputSpec("added", choices=("Plywood 3/4 in", "none")), "5/8 ply", 'added "5/8 ply" is not known'),
    (InputSpec("m", unit="lb/ft²"), "5 kN/m²", 'm: "5 kN/m²" is a pressure where a mass per area is needed (lb/ft² or kg/m²): a load of it is the weight of 104.43 lb/ft² or 509.86 kg/m²'),
    (LENGTH, 2, "room_length is 2 ft: give 3 to 60 ft"),
    (FLOOR, "80 kN/m²", "floor_capacity is 8157.72970382 kg/m²: give 50 to 5000 kg/m²"),
    (FLOOR, "5 kN", 'floor_capacity: "5 kN" is a force where a mass per area is needed'),
    (LAYER, "Gypsum bord", 'inner_material_1: the material "Gypsum bord" is not in the table: did you mean "Gypsum board"'),
    (LAYER, "88 lb", 'inner_material_1: "88 lb" is a mass where a mass per area is needed'),
    (LENGTH, "100 ft", "room_length is 100 ft: give 3 to 60 ft"),
    (LENGTH, -8, "room_length is -8 ft: give 3 to 60 ft"),
    (LENGTH, "88 lb", 'room_length: "88 lb" is a mass where a room length is needed (ft or m)'),
    (InputSpec("m", unit="lb/ft²"), "88 lb", 'm: "88 lb" is a mass where a mass per area is needed (lb/ft² or kg/m²)'),
    (LENGTH, "long", 'room_length: "long" is not understood as a room length'),
    (LENGTH, "8 florins", 'room_length: the unit "florins" is not known'),
    (LENGTH, None, "room_length may not be blank: give 3 to 60 ft"),
    (LENGTH, "", "room_length may not be blank: give 3 to 60 ft"),
    (LENGTH, True, "room_length is TRUE: give 3 to 60 ft"),
    (LENGTH, [1], "room_length is a list: give 3 to 60 ft"),
    (LENGTH, float("nan"), "room_length is not a finite number: give 3 to 60 ft"),
    (LENGTH, datetime.date(2026, 1, 1), "room_length is a date: give 3 to 60 ft"),
    (COUNT, 2.5, "people is 2.5 people: give a whole number from 1 to 50 people"),
    (COUNT, 0, "people is 0 people: give a whole number from 1 to 50 people"),
    (COUNT, "two", 'people: "two" is not understood as a number'),
    (InputSpec("price", unit="USD", least=0), "3 lb", 'price: "3 lb" is a mass where a number is needed'),
    (InputSpec("price", unit="USD", least=0), -1, "price is -1 USD: give 0 USD or more"),
    (InputSpec("margin", unit="share", most=1), "150%", "margin is 1.5 share: give 1 share or less"),
    (InputSpec("door", choices=("pair", "single")), "pear", 'door "pear" is not known: did you mean "pair"?'),
    (InputSpec("door", choices=("pair", "single")), 3, 'door "3" is not known: give one of "pair", "single"'),
    (InputSpec("day", unit="date"), "31/3/2026", 'day "31/3/2026" is not a date: give a date such as 2026-03-31'),
    (InputSpec("client", unit="text"), "a\x07b", "client has characters that no cell can show: give plain text"),
    (InputSpec("sheet"), "a\x07b", "sheet has characters that no cell can show: give plain text"),
    (InputSpec("client", unit="text"), "x" * 32_768, "client has 32768 characters: give at most 32767"),
    (InputSpec("client", unit="text"), None, "client may not be blank: give text"),
    (InputSpec("flow", unit="cfm"), None, "flow may not be blank: give a number in cfm"),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "value", "message"), REFUSED)
def test_a_value_is_refused(spec, value, message):
    with pytest.raises(InputError) as caught:
        spec.read(value)
    assert str(caught.value).startswith(message)
    assert "\n" not in str(caught.value)


@settings(deadline=None)
@given(st.text() | st.floats() | st.integers() | st.booleans() | st.none(), st.sampled_from([s for s, *_ in TAKEN]))
def test_nothing_else_than_a_value_or_a_clear_refusal(value, spec):
    try:
        kept = spec.read(value)
    except InputError:
        return
    assert kept is None or isinstance(kept, str | float)


# --- the interface of a workbook --------------------------------------------------------------------------------------


def template():
    made = books.built(
        {
            "Inputs": {"B2": 8, "B3": 2, "B4": "pair", "B5": "Plywood", "B6": 24, "B7": None, "B8": "=B2*2", "B9": 0.5},
            "Results": {"B2": "=Inputs!B2*2", "A5": "Rule", "B5": "Passes", "C5": "Do it", "D1": "ply", "D2": "mdf"},
        },
        {
            "people": ("Inputs!$B$3", COUNT.comment()),
            "room_length": ("Inputs!$B$2", LENGTH.comment()),
            "double": ("Results!$B$2", ResultSpec("double", "Twice", "ft").comment()),
            "checks": ("Results!$A$5:$C$5", CHECKS_NOTE),
            "door": "Inputs!$B$4",
            "sheet": ("Inputs!$B$5", InputSpec("sheet", "Sheet.", default="Plywood").comment()),
            "spacing": "Inputs!$B$6",
            "note": ("Inputs!$B$7", InputSpec("note", "Free.", "text", optional=True).comment()),
            "calculated": ("Inputs!$B$8", LENGTH.comment()),
            "inner": "Inputs!$B$9",
            "materials": "Results!$D$1:$D$2",
            "rate": "0.5",
        },
    )
    inputs = made["Inputs"]
    for cells, rule in {
        "B4": DataValidation("list", formula1='"pair,single"', showErrorMessage=True),
        "B5": DataValidation("list", formula1="=materials"),
        "B6": DataValidation(
            "whole", operator="between", formula1="8", formula2="48", showErrorMessage=True, prompt="Say."
        ),
    }.items():
        rule.add(cells)
        inputs.add_data_validation(rule)
    return made


def test_inputs_results_and_checks_are_found_in_sheet_order():
    found = interface(Package(books.saved(template())))
    assert [(entry.name, entry.cell, entry.value) for entry in found.inputs.values()] == [
        ("room_length", "B2", 8.0),
        ("people", "B3", 2.0),
        ("door", "B4", "pair"),
        ("sheet", "B5", "Plywood"),
        ("spacing", "B6", 24.0),
        ("note", "B7", None),
    ]
    assert found.results == ((ResultSpec("double", "Twice", "ft"), "Results", 2, 2),)
    assert found.checks == ("Results", Area(5, 1, 5, 3))


def test_a_typing_rule_gives_the_limits_where_there_is_no_note():
    inputs = interface(Package(books.saved(template()))).inputs
    assert inputs["door"].spec == InputSpec("door", choices=("pair", "single"), optional=True)
    assert inputs["spacing"].spec == InputSpec("spacing", "Say.", least=8, most=48, optional=True, whole=True)


def test_a_list_that_only_offers_does_not_limit():
    sheet = interface(Package(books.saved(template()))).inputs["sheet"]
    assert (sheet.offers, sheet.spec.choices) == (("ply", "mdf"), ())
    assert sheet.spec.read("2.5 lb/ft²") == "2.5 lb/ft²"


@pytest.mark.parametrize(
    ("operator", "first", "second", "limits"),
    [
        ("between", "3", "60", (3, 60)),
        ("greaterThanOrEqual", "3", None, (3, None)),
        ("lessThanOrEqual", "60", None, (None, 60)),
        ("equal", "5", None, (5, 5)),
        ("notBetween", "3", "60", (None, None)),
        ("between", "$A$1", "60", (None, 60)),
    ],
)
def test_limits_of_a_typing_rule(operator, first, second, limits):
    made = books.built({"S": {"B2": 5}}, {"it": "S!$B$2"})
    rule = DataValidation("decimal", operator=operator, formula1=first, formula2=second, showErrorMessage=True)
    rule.add("A1:C9")
    made["S"].add_data_validation(rule)
    spec = interface(Package(books.saved(made))).inputs["it"].spec
    assert (spec.least, spec.most) == limits


@pytest.mark.parametrize(
    ("operator", "first", "enforced", "longest"),
    [
        ("lessThanOrEqual", "60", True, 60),
        ("between", "0", True, 40),
        ("lessThanOrEqual", "60", False, None),
        ("greaterThanOrEqual", "2", True, None),
    ],
)
def test_a_typing_rule_gives_the_longest_text(operator, first, enforced, longest):
    made = books.built({"S": {"B2": "x"}}, {"it": ("S!$B$2", "Words. | text")})
    rule = DataValidation(
        "textLength", operator=operator, formula1=first, formula2="40", showErrorMessage=enforced, allow_blank=True
    )
    rule.add("B2")
    made["S"].add_data_validation(rule)
    spec = interface(Package(books.saved(made))).inputs["it"].spec
    assert spec.longest == longest
    assert (spec.wanted == "give text") == (longest is None)
    if longest is not None:
        assert spec.read("x" * longest) == "x" * longest
        with pytest.raises(InputError, match=f"it has {longest + 1} characters: give at most {longest}"):
            spec.read("x" * (longest + 1))


def test_each_row_of_a_named_column_is_an_input():
    widths = InputSpec("widths", "Leaf width.", "in", 24, 60, optional=True)
    made = books.built(
        {"S": {"A2": "D1", "B1": 5, "B2": 36, "C2": "=B2*2"}},
        {
            "widths": ("S!$B$2:$B$4", widths.comment(column=True)),
            "widths_3": ("S!$B$1", InputSpec("widths_3", "Its own.", "in").comment()),
            "twice": ("S!$C$2:$C$3", InputSpec("twice", "In.", "in").comment(column=True)),
            "plain": "S!$A$2:$A$4",
        },
    )
    found = interface(Package(books.saved(made)))
    assert [(entry.name, entry.cell, entry.value) for entry in found.inputs.values()] == [
        ("widths_3", "B1", 5.0),
        ("widths_1", "B2", 36.0),
        ("widths_2", "B3", None),
        ("twice_2", "C3", None),
    ]
    assert found.inputs["widths_2"].spec == replace(widths, name="widths_2")
    assert found.columns == {"widths": ("widths_1", "widths_2"), "twice": ("twice_2",)}
    job = Job(Package(books.saved(made)))
    job.set({"Widths": [40]})
    assert [job.inputs[name].value for name in ("widths_1", "widths_2", "widths_3")] == [40, None, 5]
    with pytest.raises(InputError, match="there is no input twice_1"):
        job.set({"twice": [1, 2]})


def test_a_blank_that_must_be_filled_is_missing():
    found = interface(
        books.package({"A1": None, "A2": None}, {"a": ("S!$A$1", "| text"), "b": ("S!$A$2", "| text | optional")})
    )
    assert [entry.missing for entry in found.inputs.values()] == [True, False]


# --- notes that outlive other programs --------------------------------------------------------------------------------


def kept_twice() -> bytes:
    made = books.built({"S": {"B2": 8, "B3": "=B2*2"}})
    keep_note(made, "room_length", "S!$B$2", LENGTH.comment())
    keep_note(made, "double", "S!$B$3", ResultSpec("double", "Twice", "ft").comment())
    return books.saved(made)


def test_a_note_is_kept_on_the_name_and_in_the_file():
    book = openpyxl.load_workbook(io.BytesIO(kept_twice()))
    assert book.defined_names["room_length"].comment == LENGTH.comment()
    assert {p.name: p.value for p in book.custom_doc_props.props}["room_length"] == LENGTH.comment()


def test_a_lost_note_is_found_in_the_file():
    data = books.edited(kept_twice(), "xl/workbook.xml", lambda text: text.replace("comment=", "x="))
    found = interface(Package(data))
    assert found.inputs["room_length"].spec == LENGTH
    assert found.results[0][0] == ResultSpec("double", "Twice", "ft")


@pytest.mark.host
def test_libreoffice_drops_the_notes_and_keeps_the_properties(tmp_path):
    path = tmp_path / "kept.xlsx"
    path.write_bytes(kept_twice())
    data = office.convert(path, "xlsx:Calc MS Excel 2007 XML", tmp_path, recalculate=False).read_bytes()
    assert b"comment=" not in books.parts(data)["xl/workbook.xml"]
    found = interface(Package(data))
    assert found.inputs["room_length"].spec == LENGTH
    assert found.inputs["room_length"].value == 8.0
    assert found.results[0][0] == ResultSpec("double", "Twice", "ft")

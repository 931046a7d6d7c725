"""What the function wizard shows."""

import pytest

from hosts.small import CATALOGUE
from stillbook.catalogue import formulas
from stillbook.hosts.excel import wizard
from stillbook.hosts.excel.wizard import LONGEST_TEXT, MOST_ARGUMENTS


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        (
            "WIDER",
            [
                ("width", 'Width before; in (with units "SI": mm).'),
                ("added", 'What is added; in; 1 in when left out (with units "SI": mm; 25.4 mm when left out).'),
                ("type_", 'How often it is added; one of "once", "twice"; once when left out.'),
                ("units", 'Unit system of bare numbers in this call; one of "US", "SI"; US when left out.'),
            ],
        ),
        ("LOUDEST", [("levels", "Levels; dB, a row or column.")]),
        ("TOLD", [("name", "A name."), ("argument_1", "Anything; any."), ("argument_2", "Anything; any.")]),
    ],
)
def test_arguments(name, shown):
    assert [(each.name, each.help) for each in wizard.arguments(CATALOGUE[name], 2)] == shown


@pytest.mark.parametrize(
    ("name", "description", "category"),
    [
        ("WIDER", "A width and what is added to it (in or mm). Source: invented.", "Stillbook: Ducts"),
        ("LOUDEST", "The loudest of several levels (dB). Source: invented.", "Stillbook: Ducts"),
        ("CORNERS", "Names and places of corners. Source: invented.", "Stillbook: Inside the room"),
    ],
)
def test_description_and_category(name, description, category):
    assert wizard.description(CATALOGUE[name]) == description
    assert wizard.category(CATALOGUE[name]) == category


def test_a_repeated_argument_has_room_for_any_formula():
    assert wizard.widest(CATALOGUE) == 4
    assert len(wizard.arguments(CATALOGUE["TOLD"], wizard.widest(CATALOGUE))) == 5


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("short", "short"),
        ("a" * 255, "a" * 255),
        ("word " * 60, ("word " * 50).rstrip() + "…"),
    ],
)
def test_long_texts_are_cut_between_words(text, kept):
    assert wizard.clipped(text) == kept


@pytest.mark.parametrize("entry", formulas().values(), ids=lambda entry: entry.name)
def test_every_formula_is_within_excels_limits(entry):
    shown = wizard.arguments(entry, wizard.widest(formulas()))
    names = [each.name.lower() for each in shown]
    assert len(shown) <= MOST_ARGUMENTS
    assert len(set(names)) == len(names)
    assert all(name.isascii() and name.isidentifier() and name not in wizard.RESERVED for name in names)
    assert all(0 < len(each.help) <= LONGEST_TEXT for each in shown)
    assert 0 < len(wizard.description(entry)) <= LONGEST_TEXT

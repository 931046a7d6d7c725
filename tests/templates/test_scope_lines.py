"""What a line of the scope says beside its quantity: what it is made of, or what it is sold in; and the head of the bid."""

import pytest

from templates.columns import calculated, shipped

WORDS = [
    ("booth-estimate", "US", "Gypsum board 5/8 in type X, inner leaf, sheets of 4 × 8 ft"),
    ("booth-estimate", "SI", "Gypsum board 15 mm, inner leaf, sheets of 1.2 × 2.4 m"),
    ("booth-estimate", "US", "Sole plates, both frames, lengths of 8 ft, 3.5 in wide"),
    ("booth-estimate", "US", "Cavity wool, Mineral wool batt 3 in, packs of 48 ft²"),
    ("booth-estimate", "SI", "Cavity wool, Mineral wool batt 75 mm, packs of 4.5 m²"),
    ("booth-estimate", "US", "Board screws, deck too, boxes of 1000"),
    ("booth-estimate", "US", "Door slabs, 36 × 80 in, 60 lb"),
    ("room-conversion", "US", "Frame and lined reveal, for glass of 36 × 48 in"),
]


def items(job):
    return [job.package.value("Scope", row, 3) for row in range(1, 260)]


@pytest.mark.parametrize(("name", "system", "words"), WORDS)
def test_a_line_says_what_it_is_made_of_or_sold_in(name, system, words):
    assert words in items(shipped(name, system))


CHOSEN = {"estimate_date": "2026-03-02", "sheet_height": 10, "duct_width": 10, "treatment_depth": 6}


def test_a_line_says_what_is_chosen_and_not_what_is_usual():
    found = items(calculated("booth-estimate", "US", CHOSEN)[0])
    assert "Gypsum board 5/8 in type X, inner leaf, sheets of 4 × 10 ft" in found
    assert any(str(item).endswith(", 10 × 6 in inside, lined 1.5 in") for item in found)
    assert "Acoustic treatment, 6 in deep" in found


@pytest.mark.parametrize(
    ("changes", "date", "office"),
    [
        ({}, "2026-03-02", None),
        ({"prepared_by": "Example office"}, "2026-03-02", "Example office"),
        ({"bid_contact": "Example desk"}, "2026-03-02", "Example desk"),
        (
            {"prepared_by": "Example office", "bid_contact": "Example desk", "bid_due": "2026-03-20"},
            "2026-03-02; bids by 2026-03-20",
            "Example office, Example desk",
        ),
    ],
)
def test_whom_to_ask_and_by_when_stand_in_the_head_and_take_no_row(changes, date, office):
    job, _ = calculated("booth-estimate", "US", CHOSEN | changes)
    head = {job.package.value("Scope", row, 2): job.package.value("Scope", row, 3) for row in range(1, 14)}
    assert head["Date"] == date
    assert head.get("From") == office
    labels = [job.package.value("Scope", row, 2) for row in range(1, 14)]
    assert labels.count("From") == (office is not None)

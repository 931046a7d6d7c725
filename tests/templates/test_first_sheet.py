"""The first sheet of booth and conversion, and the closed parts of their Inputs sheet."""

import re

import openpyxl
import pytest

from stillbook.quantities import SYSTEMS
from stillbook.templates.parts.quiet_room.tabs import GROUPS
from stillbook.templates.shipped import template
from stillbook.workbook.file.address import Area, read_cell
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.inputs import InputError
from templates.columns import calculated, named, numbers, shipped
from templates.rules import assert_unknown_is_an_error

NAMES = ("booth-estimate", "room-conversion")
EACH = [(name, system) for name in NAMES for system in SYSTEMS]
BOARD = {"US": "Gypsum board 5/8 in type X", "SI": "Gypsum board 15 mm"}


@pytest.fixture(scope="module", params=EACH, ids="-".join)
def made(request):
    name, system = request.param
    return openpyxl.load_workbook(template(name).path(system)), shipped(name, system)


def rows_of(job, sheet="Start"):
    return job.package.rows(sheet, Area(1, 2, 120, 10))


def to_look_at(job):
    """State, words and link text of each row that is told."""
    rows = rows_of(job)
    first = next(place for place, row in enumerate(rows) if row[0] == "To look at, and not known yet") + 1
    return [(row[0], row[1], row[7]) for row in rows[first : first + 6] if row[0]]


def heading(job, title):
    return next(row for row in job.package.rows("Inputs", Area(1, 2, 900, 7)) if row[0] == title)


def test_a_job_opens_with_few_boxes(made):
    book, job = made
    """All others are closed; figures of a maker or a laboratory, connectors and lines of one's own stand where they are read."""
    seen = [
        entry for entry in job.inputs.values() if not book[entry.sheet].row_dimensions[read_cell(entry.cell)[0]].hidden
    ]
    assert {entry.sheet for entry in seen} == {"Start", "Air path", "Isolation", "Wiring", "Own lines"}
    asked = sum(entry.sheet == "Start" for entry in seen)
    assert asked == (30 if "wall_found" in job.inputs else 26)
    assert len(job.inputs) > 250


def test_closed_parts_open(made):
    """Programs open no group of a locked sheet, and put no row in one; the heading stands above its rows."""
    book, _ = made
    sheet = book["Inputs"]
    assert not sheet.protection.sheet
    assert not sheet.sheet_properties.outlinePr.summaryBelow
    closed = [row for row, dimension in sheet.row_dimensions.items() if dimension.outlineLevel]
    assert all(sheet.row_dimensions[row].hidden for row in closed)
    assert all(sheet.row_dimensions[row - 1].collapsed for row in closed if row - 1 not in closed)
    assert all(page.protection.sheet for page in book.worksheets if page.title not in ("Inputs", "Own lines"))


def test_every_sheet_is_in_a_group_and_has_its_colour(made):
    book, _ = made
    groups = {sheet: group for group in GROUPS for sheet in group.sheets}
    assert all(page.sheet_properties.tabColor.rgb.endswith(groups[page.title].colour) for page in book.worksheets)
    assert len({group.colour for group in GROUPS}) == len(GROUPS)
    order = [GROUPS.index(groups[name]) for name in book.sheetnames]
    assert order == sorted(order)


def test_the_first_sheet_leads_to_all_others_by_group(made):
    book, _ = made
    page = book["Start"]
    leads = {cell.value: cell.hyperlink.location for row in page.iter_rows() for cell in row if cell.hyperlink}
    assert {name for name in book.sheetnames if name not in ("Start", "Drawing")} <= leads.keys()
    told = {cell.value for row in page.iter_rows(min_col=2, max_col=2) for cell in row}
    assert {group.title for group in GROUPS} <= told
    assert leads["Checks"].strip("'").startswith("Checks")


def test_the_name_list_leads_to_an_open_row(made):
    book, job = made
    """Of a list of walls or of lines it names the heading only."""
    page = book["Names"]
    listed = re.compile(r"(wall_(names|inner|outer)(_counts)?|found_[a-z_]+(_\d)?|(own|off)_[a-z]+)_\d+")
    named = {
        page.cell(row, 3).value: page.cell(row, 5).hyperlink
        for row in range(1, page.max_row + 1)
        if page.cell(row, 5).hyperlink
    }
    assert not {entry for entry in job.inputs if entry not in named and not listed.fullmatch(entry)}
    for link in named.values():
        sheet, _, cell = link.location.rpartition("!")
        assert not book[sheet.strip("'")].row_dimensions[read_cell(cell)[0]].hidden


def test_only_the_layers_that_count_are_looked_at(made):
    """A leaf of a wall chosen by name has its own rows too: nothing else may take those for the leaf."""
    book, _ = made
    own = re.compile(
        r"\b(inner|outer|(wall|ceiling)_(far|near))_(material|count)_\d|\b(wall|ceiling)_(gap|fill|framing|spacing)\b"
    )
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("=") and own.search(cell.value):
                    assert sheet.title in ("Isolation", "Start"), f"{sheet.title}!{cell.coordinate}: {cell.value}"


# A wall by its name, own layers, and the mass of the inner leaf: boards of 2.2 lb/ft² (11 kg/m²), the table's.
TYPED = {
    "wall": "Three boards on each frame, filled",
    **{"stud_depth": 5.5, "stud_spacing": 24, "return_length": 9, "day_people_2": 1},
}
"""A wall by its name, and values that are not the template's."""
WALLS = [
    ({}, 2),
    (TYPED, 3),
    ({"inner_count_1": 4}, 4),
    ({"wall": "Three boards on each frame, filled", "inner_material_1": "Plywood 3/4 in"}, 1),
    ({"wall": None, "inner_material_1": "Plywood 3/4 in", "inner_count_1": 3}, 3),
    ({"inner_material_2": "Plywood 3/4 in"}, 3),
    ({"wall_names_5": "Own wall", "wall_inner_5": "Plywood 3/4 in", "wall_inner_counts_5": 2, "wall": "Own wall"}, 2),
    ({"wall_names_5": "Own wall", "wall_inner_5": "Plywood 3/4 in", "wall": "Own wall"}, 1),
    ({"Wall_Names_5": "Own wall", "wall_inner_5": "Plywood 3/4 in", "Wall": "own wall"}, 1),
]


@pytest.mark.parametrize(("changes", "sheets"), WALLS)
def test_a_wall_by_name_fills_the_leaf_and_own_layers_win(changes, sheets):
    job = calculated("booth-estimate", "US", changes)[0] if changes else shipped("booth-estimate", "US")
    found = named(job)
    assert sum(found[f"inner_sheets_{layer}"] or 0 for layer in (1, 2, 3)) == sheets
    assert found["inner_board_1"] == (
        "Plywood 3/4 in"
        if "Plywood 3/4 in" in (changes.get("inner_material_1"), changes.get("wall_inner_5"))
        else BOARD["US"]
    )
    told = next(row for row in rows_of(job) if row[4] == "Layers of the walls")[5]
    assert told == ("own layers" if any(name.startswith("inner") for name in changes) else "as chosen")


def test_a_wall_that_the_list_lacks_is_refused_and_where_typed_an_error_that_names_it():
    job = shipped("booth-estimate", "US")
    with pytest.raises(
        InputError, match='wall "No such wall" is not known: give one of "One board on each frame, filled"'
    ):
        job.set({"wall": "No such wall"})
    assert_unknown_is_an_error(job, "wall", "No such wall")
    assert to_look_at(job)[0][0] == "Error"


def test_with_neither_wall_nor_layers_the_checks_wait():
    job = shipped("booth-estimate", "US")
    job.set({"wall": None})
    states = {check.rule: check.state for check in job.calculate().checks}
    assert states["Leaves of like mass: lighter over heavier"] == "waits"


def test_a_typed_value_is_told_apart_from_the_templates():
    assert heading(shipped("booth-estimate", "US"), "Frames and cavity")[5] in (None, "")
    job, _ = calculated("booth-estimate", "US", TYPED)
    assert heading(job, "Frames and cavity")[5] == "2 changed"
    assert heading(job, "How the air leaves")[5] == "1 changed"
    assert heading(job, "A day in the room")[5] == "1 changed"
    assert heading(job, "Doors")[5] in (None, "")
    told = {row[0]: row[5] for row in job.package.rows("Inputs", Area(1, 2, 900, 7))}
    assert told["Stud depth"] == "changed"
    assert told["Gap between frames"] in (None, "")


def test_what_waits_says_what_to_fill_in():
    job = shipped("booth-estimate", "US")
    job.set(
        {"client": "Invented client", "space_length": 18, "space_width": 13, "space_height": 9.5, "floor_capacity": 100}
    )
    told = to_look_at(job) if job.calculate() else []
    assert told == [
        ("Waits", 'Client, project and date are filled in: fill in "Project".', "type it above →"),
        (
            "Waits",
            "Air: outdoor air in it, at least the outdoor air table's: fill in \"Fresh share of that room's air\".",
            "type it above →",
        ),
    ]


JOB = {
    "client": "Invented client",
    "project": "Invented room",
    "estimate_date": "2026-03-02",
    "floor_capacity": 100,
    "fresh_share": 1,
    "space_length": 18,
    "space_width": 13,
    "space_height": 9.5,
}
"""What the template leaves for a job to say."""


def onward(job):
    """The rows under those that are told, by their words: the words of the link beside them."""
    return {row[1]: row[7] or "" for row in rows_of(job) if str(row[1]).startswith(("All checks", "No other", "And "))}


def assert_low_end(job, found, said):
    """See that the low end of the range, 48, stands beside the target, which it fails no check to miss."""
    row = next(row for row in rows_of(job) if row[4] == "Its low end")
    assert row[5] == round(found["room_stc"] - found["stc_range"]) == 48
    assert row[7] == said


def test_the_link_to_the_checks_stands_under_the_last_that_is_told_and_a_low_end_met_is_none():
    job = shipped("booth-estimate", "US")
    job.set({name: value for name, value in JOB.items() if name != "client"} | {"stc_target": 48})
    assert_low_end(job, numbers(job), "meets the 48 asked")
    assert len(to_look_at(job)) == 1
    assert onward(job) == {"No other fails or waits.": "Checks →"}
    job.set(JOB)
    job.calculate()
    assert to_look_at(job) == []
    passed = "All checks pass. A pass is not an approval: codes and engineers decide."
    assert onward(job) == {passed: "Checks →"}
    assert [row[7] for row in rows_of(job)].count("Checks →") == 1


def test_the_ratings_are_said_in_words(made):
    _, job = made
    found = named(job)
    like = "a recording studio" if found["nc_all"] <= 20 else "a bedroom at night"
    at = next(place for place, row in enumerate(rows_of(job)) if row[0] == "In words")
    stc, nc = (rows_of(job)[at + down][1] for down in (0, 1))
    assert stc.startswith("STC says how much walls and doors keep out: more is better. In plain words, at STC ")
    assert nc.startswith("NC says how loud it still is inside")
    assert nc.endswith(f"NC {found['nc_all']:.0f}, as predicted, is like {like} (common practice).")


def test_next_door_and_the_low_end_are_told_in_the_measure_of_their_targets():
    """NC against a target in NC; dB over what is there already, where that is typed."""
    job = shipped("booth-estimate", "US")
    row = next(row for row in rows_of(job) if row[4] == "Heard next door")
    assert (row[6], row[7]) == ("NC", "at most 30")
    job.set({f"next_noise_{hz}": 60 for hz in (63, 125, 250, 500, 1000, 2000, 4000, 8000)} | {"stc_target": 49})
    found = numbers(job)
    assert_low_end(job, found, "under the 49 asked")
    row = next(row for row in rows_of(job) if row[4] == "Heard next door")
    assert (row[6], row[7]) == ("dB", "over what is there")
    assert float(row[5]) == pytest.approx(found["next_over"], abs=0.05)


# Each job is changed in things that have nothing to do with each other: label, target and state of each result.
FAILING = {
    "budget": 20000,
    "stc_target": 70,
    "nc_target": 15,
    "floor_capacity": 20,
    **{"people": 9, "airflow_chosen": 30},
    **{"space_length": 9, "space_width": 9, "space_height": 9},
}
TARGETS = [
    (
        FAILING,
        [
            ("Price, tax included", "at most 20,000", "Fails"),
            ("Isolation, low to high", "at least 70", "Fails"),
            ("Heard inside", "at most 15", "Fails"),
            ("Load on the floor", "at most 20", "Fails"),
            ("Air", "at least 135", "Fails"),
            ("Outside size", "in 9.0 × 9.0 × 9.0", "Fails"),
        ],
    ),
    (
        {"budget": 90000, "stc_target": 45, "co2_limit": 800},
        [
            ("Price, tax included", "at most 90,000", "Passes"),
            ("Isolation, low to high", "at least 45", "Passes"),
            ("CO2, end of the session", "at most 800", "Fails"),
        ],
    ),
]


@pytest.mark.parametrize(
    ("changes", "label", "target", "state"), [(changes, *told) for changes, results in TARGETS for told in results]
)
def test_a_result_stands_beside_its_target(changes, label, target, state):
    job, _ = calculated("booth-estimate", "US", changes)
    row = next(row for row in rows_of(job) if row[4] == label)
    assert (row[7], row[8] or "") == (target, state)


def test_a_result_stands_beside_the_target_that_is_not_told():
    told = {row[4]: (row[7], row[8] or "") for row in rows_of(shipped("booth-estimate", "US"))}
    assert told["Price, tax included"] == ("no budget told", "")
    assert told["Outside size"] == ("not measured", "Waits")


def test_what_fails_comes_first_and_leads_to_where_it_stands():
    job, report = calculated("booth-estimate", "US", FAILING)
    told = to_look_at(job)
    failed = [check for check in report.checks if check.state == "fails"]
    assert [state for state, *_ in told] == ["Fails"] * 6
    assert [words.partition(": ")[0] for _, words, _ in told] == [check.rule.partition(": ")[0] for check in failed[:6]]
    assert told[0][1].endswith(failed[0].advice)
    assert told[0][2] == "Shell →"
    waiting = sum(check.state == "waits" for check in report.checks)
    assert waiting
    more = next(str(row[1]) for row in rows_of(job) if str(row[1]).startswith("And "))
    assert more == f"And {len(failed) + waiting - 6} more on the Checks sheet."


def test_a_broken_formula_shows_on_the_first_sheet_as_an_error():
    job = shipped("booth-estimate", "US")
    entry = job.inputs["people"]
    job.write({entry.sheet: {read_cell(entry.cell): Change("two")}})
    job.calculate()
    assert to_look_at(job)[0][0] == "Error"

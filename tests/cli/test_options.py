"""``options``: the options of an exploration, put into the job that was explored."""

import itertools

import pytest

from stillbook.templates.parts.quiet_room.explored import LONGEST
from stillbook.templates.shipped import template
from stillbook.workbook.file.address import Area
from stillbook.workbook.job.estimate import Job
from workbook import choices

PARTS = ("name", "price", "isolation", "level", "change")
NAMED = {**choices.FORMULAS}
NAMED["room_stc"] = NAMED.pop("stc")
NAMED["nc_all"] = NAMED.pop("level").replace("stc", "room_stc")
RESULTS = (("price", "Price", "USD", "least"), ("room_stc", "Room, STC", "", "most"), ("nc_all", "Heard inside", "NC", "least"))  # fmt: skip


@pytest.fixture
def room(here, monkeypatch):
    """A job whose price, isolation and level have the names of an estimate's, and places for options."""
    monkeypatch.setattr(choices, "RESULTS", RESULTS)
    return choices.saved(here / "room.xlsx", {"space": 16}, formulas=NAMED, inputs=(*choices.INPUTS, *choices.PLACES))


@pytest.fixture
def options(room, run):
    """What its exploration offers, by number."""
    code, *_ = run("explore", "room.xlsx", "options.xlsx", "--workers", "1")
    assert code == 0
    return room.with_name("options.xlsx")


def held(path):
    inputs = Job.open(path).inputs
    return [tuple(inputs[f"option_{part}_{place}"].value for part in PARTS) for place in (1, 2, 3)]


def by_hand(name, explored):
    """Price, isolation and level of an option, worked out beside the workbook from what its row of variants holds."""
    number = int(name.rpartition(" ")[2])
    grid = explored.package.rows("Variants", Area(1, 2, 80, 12))
    names = next(row for row in grid if "boards" in row)
    row = next(row for row in grid if row[0] == number)
    at = dict(zip(names, row, strict=True))
    return choices.by_hand(at["boards"], at["gap"], at["door"], at["wool"]), at


def test_the_options_are_typed_into_the_job(room, options, run):
    before = {name: entry.value for name, entry in Job.open(room).inputs.items()}
    code, out, err = run("options", "room.xlsx", "options.xlsx")
    assert (code, err) == (0, "")
    assert out.startswith("room.xlsx: 3 options of options.xlsx")
    told = held(room)
    assert [name.partition(",")[0] for name, *_ in told] == ["Least price", "Best value", "Quietest"]
    explored = Job.open(options)
    labels = dict(zip((spec.name for spec in choices.INPUTS), choices.LABELS, strict=True))
    for name, price, isolation, level, change in told:
        expected, at = by_hand(name, explored)
        assert (price, isolation, level) == pytest.approx(expected)
        differs = {part: at[part] for part in ("boards", "gap", "door", "wool") if at[part] != before[part]}
        said = dict(part.rsplit(" ", 2 if part.startswith("Gap") else 1)[:2] for part in change.split("; "))
        assert said == {labels[part]: str(value).removesuffix(".0") for part, value in differs.items()}
    after = {name: entry.value for name, entry in Job.open(room).inputs.items()}
    assert {name for name in after if after[name] != before[name]} <= {spec.name for spec in choices.PLACES}


def test_what_was_there_before_is_replaced(room, options, run):
    run("options", "room.xlsx", "options.xlsx")
    run("explore", "room.xlsx", "one.xlsx", "--workers", "1", "--vary", "gap=1", "--vary", "boards=2")
    code, out, err = run("options", "room.xlsx", "one.xlsx")
    assert (code, err) == (0, "")
    first, *others = held(room)
    assert first[0].startswith("Least price, variant ")
    assert first[4] == "Nothing: the job as it stood."
    assert others == [(None,) * 5] * 2
    assert out.startswith("room.xlsx: 1 option of one.xlsx")


def test_a_job_that_is_not_as_it_was_explored_is_told(room, options, run):
    run("set", "room.xlsx", "space=18", "colour=red")
    code, _, err = run("options", "room.xlsx", "options.xlsx")
    assert code == 0
    assert " ".join(err.split()) == "room.xlsx is not as it was when it was explored: space, colour differ."


CANNOT_BE_PUT_IN = [
    ("room.xlsx", "room.xlsx", "it is no workbook of an exploration"),
    ("room.xlsx", "none.xlsx", "it shows no option: nothing passed"),
    ("plain.xlsx", "options.xlsx", "it has no place for options"),
    ("room.xlsx", "gone.xlsx", "there is no such file"),
]


def test_what_cannot_be_put_in_is_refused(room, options, run, refused):
    choices.saved(room.with_name("plain.xlsx"))
    run("explore", "room.xlsx", "none.xlsx", "--workers", "1", "--vary", "gap=2", "--at-most", "price=5")
    before = room.read_bytes()
    for job, out, said in CANNOT_BE_PUT_IN:
        assert said in " ".join(refused("options", job, out).split())
        assert room.read_bytes() == before


def test_what_an_exploration_did_not_look_for_stays_blank(room, run):
    run("explore", "room.xlsx", "price.xlsx", "--workers", "1", "--vary", "gap=2,4", "--goal", "price=least")
    run("options", "room.xlsx", "price.xlsx")
    first, *_ = held(room)
    assert first[1] == pytest.approx(choices.by_hand(2, 2, "single", "no")[0])
    assert first[2:4] == (None, None)


def test_a_long_list_of_changes_says_how_many_are_left():
    from stillbook.office.explore.options import Option

    changes = tuple(f"Change number {number} to another value" for number in range(30))
    told = Option("Quietest", 17, 1.0, 2.0, 3.0, changes).words
    kept = told.count("Change number")
    assert len(told) <= LONGEST
    assert told.endswith(f"; and {30 - kept} more, as variant 17 says")
    assert told.startswith("; ".join(changes[:kept]))


@pytest.mark.parametrize(("name", "system"), [*itertools.product(("booth-estimate", "room-conversion"), ("US", "SI"))])
def test_the_first_sheet_tells_them(name, system):
    job = Job.open(template(name).path(system))

    def told():
        rows = [[cell for cell in row if cell] for row in job.package.rows("Start", Area(1, 2, 60, 10))]
        heads = [place for place, row in enumerate(rows) if row[:1] == ["Options explored"]]
        return [row for row in rows[heads[0] + 1 : heads[0] + 4] if row] if heads else None

    assert told() is None
    job.set(
        {"option_name_1": "Least price", "option_price_1": 41200.4, "option_isolation_1": 52, "option_level_1": 21.4}
    )
    job.set({"option_name_3": "Quietest", "option_change_3": "Gap between frames 4"})
    job.calculate()
    money = "USD" if system == "US" else "EUR"
    assert told() == [
        ["Least price", f"41,200 {money}, STC 52, NC 21"],
        ["Quietest", "price not told", "Gap between frames 4"],
    ]


def test_the_options_stay_out_of_the_next_job():
    """They are of one client's job."""
    inputs = Job.open(template("booth-estimate").path("US")).inputs
    assert all(inputs[f"option_{part}_{place}"].spec.one_job for part in PARTS for place in (1, 2, 3))

"""An exploration of a small job against all its variants worked out by hand, stopped, gone on with, and on a cluster."""

import csv
import itertools
import json
import os
import signal
from collections import Counter
from dataclasses import replace

import pytest

from stillbook.office.explore import exploration as module
from stillbook.office.explore import workers as hands
from stillbook.office.explore.chosen import chosen
from stillbook.office.explore.exploration import Question, explore
from stillbook.office.explore.front import front
from stillbook.office.explore.mending import mendings
from stillbook.office.explore.outcome import Outcome
from stillbook.office.explore.report import write_report
from stillbook.office.explore.table import write_table
from stillbook.office.explore.workers import Given, mark_of, workers
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputError
from stillbook.workbook.job.variants import Variants
from workbook import books, choices


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    return choices.saved(tmp_path_factory.mktemp("explored") / "job.xlsx", {"space": 16})


@pytest.fixture(scope="module")
def found(job):
    """All 64 variants: four boards, four gaps, two doors, with wool or without."""
    return explore(job, job.with_name("found.xlsx"), Question(), count=1)


def by_hand():
    """Every variant in its order: what it comes to, and what rules it out."""
    for boards, gap, door, wool in itertools.product((1, 2, 3, 4), (1, 2, 4, 6), ("pair", "single"), ("yes", "no")):
        goals = choices.by_hand(boards, gap, door, wool)
        rules = [
            ("Load on the floor", 2 * boards * choices.BOARD > 15),
            ("The shell fits the space", 2 * boards * 0.625 + gap + 7 > 16),
            ("A pair has room", door == "pair" and gap < 2),
        ]
        yield goals, tuple(rule for rule, broken in rules if broken)


def test_every_variant_is_what_it_is_by_hand(found):
    assert found.is_whole
    assert len(found.variants) == 64
    for variant, (goals, out) in zip(found.variants, by_hand(), strict=True):
        assert variant.ruled_out == out
        results = [found.value(variant, name) for name in ("price", "stc", "level")]
        assert results == pytest.approx(goals, rel=1e-3)


def test_what_rules_variants_out_is_counted_by_name(found):
    assert found.counts == Counter(rule for _, out in by_hand() for rule in out)
    assert len(found.standing) == sum(not out for _, out in by_hand())


def test_the_front_is_that_of_the_full_grid(found):
    standing = [(place, goals) for place, (goals, out) in enumerate(by_hand(), start=1) if not out]
    places = front([(price, -stc, level) for _, (price, stc, level) in standing])
    assert {variant.number for variant in found.front} == {standing[place][0] for place in places}
    prices = [found.value(variant, "price") for variant in found.front]
    assert prices == sorted(prices)


def test_three_are_offered_and_the_job_is_said_to_be_on_the_front_or_not(found):
    assert [called for called, _ in found.offers] == ["Least price", "Best value", "Least heard inside"]
    least, _, quiet = (variant for _, variant in found.offers)
    assert found.value(least, "price") == min(found.value(variant, "price") for variant in found.standing)
    assert found.value(quiet, "level") == min(found.value(variant, "level") for variant in found.standing)
    assert found.base.stands
    assert found.base_on_front == any(not found.differing(variant) for variant in found.front)


TARGETS = [
    # question, what rules out, how many
    (Question(at_least={"stc": "50"}), "stc at least 50", lambda g, o: g[1] < 50),
    (Question(at_most={"price": "1,500 USD"}), "price at most 1500 USD", lambda g, o: g[0] > 1500),
    (Question(at_most={"load": "6 lb/ft²"}), "load at most 6 lb/ft²", None),
]


@pytest.mark.parametrize(("question", "name", "broken"), TARGETS)
def test_a_target_that_is_missed_rules_out_by_its_name(job, tmp_path, question, name, broken):
    got = explore(job, tmp_path / "o.xlsx", question, count=1)
    wanted = 48 if broken is None else sum(broken(goals, out) for goals, out in by_hand())
    assert got.counts[name] == wanted


def test_a_check_that_waits_rules_nothing_out_unless_it_is_asked_for(tmp_path):
    job = choices.saved(tmp_path / "job.xlsx")
    vary = {"boards": "1,2"}
    assert len(explore(job, tmp_path / "o.xlsx", Question(vary=vary), count=1).standing) == 2
    got = explore(job, tmp_path / "o.xlsx", Question(vary=vary, within=["SPACE"]), count=1)
    assert got.counts == {"The shell fits the space (waits)": 2}
    assert got.offers == ()


def test_inputs_that_the_price_does_not_depend_on_are_named(tmp_path):
    formulas = {**choices.FORMULAS, "price": "=1000+140*boards"}
    job = choices.saved(tmp_path / "job.xlsx", formulas=formulas)
    assert explore(job, tmp_path / "o.xlsx", Question(), count=1).free == ("gap", "door", "wool")


SAMPLED = Question(vary={"boards": "1..4", "gap": "0.5..9.5..0.25", "door": "", "wool": ""}, most=90)


def numbered(found):
    return [(variant.number, dict(variant.values), variant.ruled_out) for variant in found.variants]


def test_equal_budgets_give_equal_explorations_whoever_works(job, tmp_path):
    one = explore(job, tmp_path / "o.xlsx", SAMPLED, count=1)
    two = explore(job, tmp_path / "o.xlsx", SAMPLED, count=2)
    assert len(one.variants) <= 90 < one.space.size
    assert numbered(one) == numbered(two)
    assert (one.offers, one.counts) == (two.offers, two.counts)


def test_a_change_that_changes_nothing_is_not_offered(tmp_path):
    formulas = {**choices.FORMULAS, "price": "=1000+140*boards+9*gap", "stc": "=30+20*LOG10(mass)+3*SQRT(gap)"}
    job = choices.saved(tmp_path / "job.xlsx", formulas=formulas)
    got = explore(job, tmp_path / "o.xlsx", SAMPLED, count=1)
    assert len(got.variants) <= 90
    for _, variant in got.offers:
        assert not {"door", "wool"} & got.differing(variant).keys()


def test_the_job_is_untouched_byte_for_byte(job, tmp_path):
    before = job.read_bytes(), job.stat().st_mtime_ns, sorted(job.parent.iterdir())
    got = explore(job, tmp_path / "o.xlsx", Question(vary={"gap": "1,2"}), count=1)
    write_report(got, tmp_path / "o.xlsx")
    mendings(job)
    assert (job.read_bytes(), job.stat().st_mtime_ns, sorted(job.parent.iterdir())) == before


# --- stopping and going on --------------------------------------------------------------------------------------------


@pytest.fixture
def stopping(monkeypatch):
    """Let workers be stopped by Ctrl-C after so many variants."""

    def after(count):
        run = hands._Here.run
        left = itertools.count()

        def stopped(self, asked):
            for done in run(self, asked):
                if next(left) >= count:
                    raise KeyboardInterrupt
                yield done

        monkeypatch.setattr(hands._Here, "run", stopped)
        return lambda: monkeypatch.setattr(hands._Here, "run", run)

    return after


@pytest.mark.parametrize("question", [Question(), SAMPLED], ids=["grid", "search"])
def test_ctrl_c_keeps_what_is_done_and_it_goes_on_from_there(job, tmp_path, stopping, question):
    out = tmp_path / "o.xlsx"
    whole = explore(job, tmp_path / "whole.xlsx", question, count=1)
    again = stopping(30)
    first = explore(job, out, question, count=1)
    assert (first.stopped, len(first.variants)) == ("a person", 30)
    assert numbered(first) == numbered(whole)[:30]
    again()
    out.write_bytes(b"what was written of it then")
    with pytest.raises(WorkbookError, match="it exists already"):
        explore(job, out, question, count=1)
    rest = explore(job, out, question, count=1, resume=True)
    assert (rest.stopped, rest.resumed) == ("", 30)
    assert numbered(rest) == numbered(whole)
    assert not (tmp_path / "o.xlsx.part").exists()


def test_a_journal_that_was_cut_off_is_taken_as_far_as_it_goes(job, tmp_path, stopping):
    out = tmp_path / "o.xlsx"
    again = stopping(10)
    explore(job, out, Question(), count=1)
    again()
    journal = tmp_path / "o.xlsx.part"
    text = journal.read_text()
    journal.write_text(text[:-40])
    assert explore(job, out, Question(), count=1).resumed == 9


def test_what_was_done_is_kept_where_it_cannot_be_written(job, tmp_path):
    def full(_):
        raise OSError(28, "the disk is full")

    out = tmp_path / "o.xlsx"
    with pytest.raises(OSError, match="full"):
        explore(job, out, Question(), count=1, write=full)
    assert explore(job, out, Question(), count=1).resumed == 64


def test_a_journal_of_another_job_is_not_taken(job, tmp_path, stopping):
    out = tmp_path / "o.xlsx"
    stopping(3)
    explore(job, out, Question(), count=1)
    other = choices.saved(tmp_path / "other.xlsx", {"space": 17})
    with pytest.raises(WorkbookError, match="it is of another job"):
        explore(other, out, Question(), count=1)


def test_a_budget_of_time_ends_it(job, tmp_path):
    got = explore(job, tmp_path / "o.xlsx", Question(minutes=1e-6), count=1)
    assert got.stopped == "time"
    assert len(got.variants) == 1


def test_what_is_there_is_not_replaced(job, tmp_path):
    (tmp_path / "o.xlsx").write_bytes(b"kept")
    for resume in (False, True):
        with pytest.raises(WorkbookError, match="it exists already"):
            explore(job, tmp_path / "o.xlsx", Question(), count=1, resume=resume)


REFUSED = [
    (Question(vary={"roof": "1"}), "there is no input roof"),
    (Question(at_least={"roof": "1"}), "there is no result roof: give one of price, stc, level, load"),
    (Question(at_least={"stc": "loud"}), "at least stc: "),
    (Question(goals={"price": "cheap"}), "price=cheap: give a key result and its best"),
    (Question(within=["roof"]), 'there is no check with "roof" in its rule'),
]


@pytest.mark.parametrize(("question", "message"), REFUSED)
def test_a_question_that_cannot_be_asked_is_told(job, tmp_path, question, message):
    with pytest.raises(InputError, match=message):
        explore(job, tmp_path / "o.xlsx", question, count=1)
    assert not list(tmp_path.iterdir())


# --- workers ----------------------------------------------------------------------------------------------------------


def killing(given, asked):
    if any(values["gap"] == 4 for values in asked):
        os.kill(os.getpid(), signal.SIGKILL)
    return [Outcome({"price": values["gap"]}) for values in asked]


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system does not end processes in this way")
def test_a_variant_that_ends_its_process_stops_no_other(job, monkeypatch):
    monkeypatch.setattr(hands, "work", killing)
    asked = [{"boards": 2.0, "gap": float(gap)} for gap in (1, 2, 4, 6, 7, 8)]
    with workers(Given(job, mark_of(job), ("boards", "gap")), 2, "") as pool:
        got = dict(pool.run(asked))
    assert {place: one.fault for place, one in got.items() if one.fault} == {2: hands.ENDED}
    assert {place: one.results["price"] for place, one in got.items() if not one.fault} == {
        0: 1,
        1: 2,
        3: 6,
        4: 7,
        5: 8,
    }


def test_a_job_that_changed_meanwhile_is_not_gone_on_with(job):
    with pytest.raises(WorkbookError, match="it was changed meanwhile"):
        hands.work(Given(job, "another", ("gap",)), [{"gap": 1.0}])


def test_a_variant_that_cannot_be_calculated_is_ruled_out_with_the_reason(job, tmp_path, monkeypatch):
    def broken(self, values, **_):
        if values["boards"] == 2:
            raise ZeroDivisionError("by nothing")
        return calculate(self, values)

    calculate = Variants.calculate
    monkeypatch.setattr(Variants, "calculate", broken)
    got = explore(job, tmp_path / "o.xlsx", Question(vary={"boards": "1,2"}), count=1)
    assert list(got.counts) == [
        "not calculated: it met a fault in Stillbook (ZeroDivisionError: by nothing): report it"
    ]


def test_a_cluster_does_the_same_also_when_a_worker_is_killed(job, tmp_path):
    distributed = pytest.importorskip("distributed")
    alone = explore(job, tmp_path / "alone.xlsx", Question(), count=1)
    killed = []

    def kill(done, _total, _standing):
        if done >= 20 and not killed:
            killed.append(next(iter(cluster.workers.values())).process.process.pid)
            os.kill(killed[0], signal.SIGKILL)

    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, processes=True) as cluster:
        address = cluster.scheduler_address
        got = explore(job, tmp_path / "o.xlsx", Question(), cluster=address, progress=kill)
    assert killed
    assert numbered(got) == numbered(alone)
    assert got.counts == alone.counts


def test_a_cluster_that_is_not_there_is_told(job, tmp_path):
    pytest.importorskip("distributed")
    with pytest.raises(WorkbookError, match=r"there is no cluster at tcp://127\.0\.0\.1:9"):
        explore(job, tmp_path / "o.xlsx", Question(), cluster="tcp://127.0.0.1:9")


# --- what comes out ---------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def written(found, tmp_path_factory):
    return write_report(found, tmp_path_factory.mktemp("written") / "options.xlsx")


def test_each_variant_reads_back_as_it_was_calculated(found, written):
    for variant in (found.base, *found.variants):
        got = chosen(written, variant.number)
        assert got.varied == variant.values
        # openpyxl writes sixteen figures.
        results = {goal.name: found.value(variant, goal.name) for goal in found.goals}
        assert got.results == pytest.approx(results, rel=1e-15)
        assert got.job == {name: entry.value for name, entry in found.inputs.items()}


def test_a_variant_that_is_not_there_is_told(written, job):
    with pytest.raises(WorkbookError, match="there is no variant 99: its sheet Variants lists them"):
        chosen(written, 99)
    with pytest.raises(WorkbookError, match="it is no workbook of an exploration"):
        chosen(job, 1)


def test_the_workbook_shows_options_charts_and_all_variants(found, written):
    package = Job.open(written).package
    assert package.sheets == ["Options", "Charts", "Variants", "Ruled out", "How", "Job"]
    shown = {value for row in package.rows("Options", module_area("B1:E40")) for value in row}
    assert {"Least price", "Best value", "Least heard inside", "Invented client", "Boards"} <= shown
    counts = {row[0]: row[1] for row in package.rows("Ruled out", module_area("B5:C12"))}
    assert {rule: counts[rule] for rule in found.counts} == found.counts


def module_area(text):
    from stillbook.workbook.file.address import read_area

    return read_area(text)


def test_a_workbook_is_written_where_no_variant_stands(job, tmp_path):
    got = explore(job, tmp_path / "o.xlsx", Question(vary={"boards": "1,2"}, at_most={"price": "10"}), count=1)
    package = Job.open(write_report(got, tmp_path / "o.xlsx")).package
    words = [str(row[0]) for row in package.rows("Options", module_area("B4:B12"))]
    assert any(text.startswith("None of 2 variants passes.") for text in words)


def test_equal_explorations_are_equal_files(found, written, tmp_path):
    one, other = (books.parts(path.read_bytes()) for path in (write_report(found, tmp_path / "again.xlsx"), written))
    assert {name for name in one if one[name] != other[name]} <= {"docProps/core.xml"}


def test_the_table_as_csv_and_parquet(found, tmp_path):
    write_table(found, tmp_path / "t.csv")
    with (tmp_path / "t.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [int(row["variant"]) for row in rows] == list(range(65))
    assert {row["standing"] for row in rows} == {"front", "passes", "ruled out"}
    pytest.importorskip("pyarrow")
    write_table(found, tmp_path / "t.parquet")
    import pandas  # it takes a while to load, in each process that collects the tests

    frame = pandas.read_parquet(tmp_path / "t.parquet")
    assert frame["price"].tolist()[1:] == [found.value(variant, "price") for variant in found.variants]


def test_a_job_of_a_variant_is_that_variant(found, written, job, tmp_path):
    _, variant = found.offers[1]
    made = Job.open(job)
    made.set(chosen(written, variant.number).inputs)
    report = made.calculate()
    assert {r.name: r.value for r in report.results} == pytest.approx(dict(variant.outcome.results), rel=1e-9)
    assert not report.denied


# --- a failing check --------------------------------------------------------------------------------------------------

MENDED = [
    # inputs of the job, the failing check, the changes that mend it with their price: the nearest, and a cheaper one
    ({"door": "pair", "wool": "yes"}, "A pair has room", [({"door": "single"}, -170)]),
    ({"boards": 4, "space": 20}, "Load on the floor", [({"boards": 3}, -140), ({"boards": 1}, -420)]),
    ({"boards": 4, "gap": 6, "space": 14}, "The shell fits the space", [({"gap": 2}, -36), ({"gap": 1}, -45)]),
    (
        {"boards": 4, "gap": 6, "space": 11},
        "The shell fits the space",
        [({"boards": 1, "gap": 2}, -456), ({"boards": 1, "gap": 1}, -465)],
    ),
    ({"boards": 2, "gap": 1, "space": 9}, "The shell fits the space", [({}, None)]),
]


@pytest.mark.parametrize(("inputs", "rule", "found"), MENDED)
def test_the_nearest_change_that_mends_a_check_is_named_and_a_cheaper_one(tmp_path, inputs, rule, found):
    job = choices.saved(tmp_path / "job.xlsx", inputs)
    got = [mending for mending in mendings(job) if mending.rule == rule]
    assert [{change.name: change.after for change in mending.changes} for mending in got] == [each for each, _ in found]
    for mending, (changes, price) in zip(got, found, strict=True):
        assert mending.price == (price if price is None else pytest.approx(price))
        assert not changes or f", {price:+,d} USD" in mending.words


def test_a_choice_that_is_left_blank_is_tried_too(tmp_path):
    """Its four boards come by another way, as those of a wall that is chosen by name."""
    blank = [replace(spec, default=None, optional=True) if spec.name == "boards" else spec for spec in choices.INPUTS]
    formulas = {name: made.replace("boards", 'IF(boards="",4,boards)') for name, made in choices.FORMULAS.items()}
    job = choices.saved(tmp_path / "job.xlsx", inputs=tuple(blank), formulas=formulas)
    (mending,) = mendings(job)
    assert (mending.rule, mending.price) == ("Load on the floor", -420)
    assert [(change.before, change.after) for change in mending.changes] == [(None, 1)]


def test_a_job_whose_checks_pass_has_nothing_to_mend(job):
    assert mendings(job) == ()


def test_the_journal_holds_one_line_a_variant(job, tmp_path, stopping):
    stopping(5)
    explore(job, tmp_path / "o.xlsx", Question(), count=1)
    lines = (tmp_path / "o.xlsx.part").read_text().splitlines()
    assert len(lines) == 6
    assert json.loads(lines[1])["results"]["price"] > 0
    assert module.MOST == 500

"""One exploration of a job: what varies is tried, what fails a check is ruled out and counted, the best is found.

>>> from stillbook.office.explore.exploration import Question, explore
>>> found = explore("job.xlsx", "options.xlsx", Question(vary={"frame_gap": "1,2,4"}))        # doctest: +SKIP
>>> [variant.number for variant in found.front]                                              # doctest: +SKIP
[1, 3]
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from os import PathLike
from pathlib import Path
from typing import Any, Final

from stillbook.cells import Cell
from stillbook.office.explore import front as fronts
from stillbook.office.explore import outcome as outcomes
from stillbook.office.explore import search as searches
from stillbook.office.explore import space as spaces
from stillbook.office.explore.journal import Journal, journal_of
from stillbook.office.explore.outcome import Outcome, Target, Variant, goals_of, ruled_out, target
from stillbook.office.explore.search import Judged
from stillbook.office.explore.space import Point, Space
from stillbook.office.explore.workers import Given, Workers, mark_of, workers
from stillbook.quantities import System
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.saving import refuse_existing
from stillbook.workbook.job.estimate import Result
from stillbook.workbook.job.inputs import InputError
from stillbook.workbook.job.interface import Input
from stillbook.workbook.job.labels import labels
from stillbook.workbook.job.lines import unit_system
from stillbook.workbook.job.variants import Variants, figures

MOST: Final = 500
"""Variants that are tried where nobody says how many."""

_MOST_IN_TIME: Final = 100_000
_LAST: Final = 90
"""Variants of a large budget that are kept to make the options simple."""

PRICE: Final = "price"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of an exploration.

    Args:
        vary: Inputs that vary, with their values as text; with ``sets`` empty too, those that the workbook marks.
        sets: Choices as a file gives them.
        at_least: Least values of results.
        at_most: Most values of results.
        within: Words; a check whose rule holds one has to pass, and not only to wait.
        goals: Results with the best of each, "least" or "most", in place of those that the workbook marks.
        most: How many variants are tried; None for :data:`MOST`, or with ``minutes`` as many as there is time for.
        minutes: How long it may take.
    """

    vary: Mapping[str, str] = field(default_factory=dict)
    sets: Mapping[str, Any] = field(default_factory=dict)
    at_least: Mapping[str, str] = field(default_factory=dict)
    at_most: Mapping[str, str] = field(default_factory=dict)
    within: Sequence[str] = ()
    goals: Mapping[str, str] = field(default_factory=dict)
    most: int | None = None
    minutes: float | None = None


@dataclass(frozen=True, slots=True)
class Exploration:
    """What an exploration found.

    Args:
        job: The job.
        system: Its unit system.
        inputs: Its inputs by name, as it stands.
        labels: What each input is, in words, by its name.
        results: Its key results by name, as it stands.
        space: What varied.
        goals: What is best, in the order in which it counts; the price first, if it is one.
        targets: What results had to reach.
        within: Words of checks that had to pass.
        base: The job as it stands, which has the number 0.
        variants: All that was tried, in the order of their numbers from 1 on.
        front: The best choices: those that stand and that no other beats, cheapest first.
        offers: Three of the front for a client, with what each is called.
        counts: How many variants each check or target rules out, most first.
        free: Inputs that vary and on which the price does not depend.
        resumed: How many variants were taken from an exploration that was stopped.
        stopped: Why it ended before its budget: by "a person" or by "time"; empty where it did not.
    """

    job: Path
    system: System
    inputs: Mapping[str, Input]
    labels: Mapping[str, str]
    results: Mapping[str, Result]
    space: Space
    goals: tuple[Result, ...]
    targets: tuple[Target, ...]
    within: tuple[str, ...]
    base: Variant
    variants: tuple[Variant, ...]
    front: tuple[Variant, ...]
    offers: tuple[tuple[str, Variant], ...]
    counts: Mapping[str, int]
    free: tuple[str, ...]
    resumed: int
    stopped: str = ""

    @property
    def standing(self) -> tuple[Variant, ...]:
        """The variants that stand."""
        return tuple(variant for variant in self.variants if variant.stands)

    @property
    def is_whole(self) -> bool:
        """Whether every variant there is was tried."""
        return len(self.variants) == self.space.size

    def differing(self, variant: Variant) -> dict[str, Cell]:
        """What a variant changes in the job: inputs by name."""
        return {name: value for name, value in variant.values.items() if value != self.base.values[name]}

    def value(self, variant: Variant, result: str) -> outcomes.Figure:
        """A key result of a variant."""
        return variant.outcome.results.get(result)

    @property
    def alone(self) -> str:
        """What to say where the job as it stands passes and no variant does; empty elsewhere."""
        is_alone = self.base_on_front and not self.front
        return "The job as it stands passes; no variant that was tried does." if is_alone else ""

    @property
    def base_on_front(self) -> bool:
        """Whether the job as it stands is as good as a best choice: it stands, and none beats it."""
        own = goals_of(self.base.outcome.results, self.goals)
        if not self.base.stands or own is None:
            return False
        others = [goals_of(variant.outcome.results, self.goals) for variant in self.front]
        return 0 in fronts.front([own, *(goals for goals in others if goals is not None)])


Progress = Callable[[int, int | None, int], None]
"""Told after each variant: how many are done, how many there will be if that is known, and how many stand."""


def explore(
    job: str | PathLike[str],
    out: str | PathLike[str],
    question: Question,
    *,
    count: int | None = None,
    cluster: str = "",
    resume: bool = False,
    progress: Progress | None = None,
    write: Callable[[Exploration], object] = lambda _: None,
) -> Exploration:
    """Explore a job, which is never written.

    Each variant done is noted in a journal beside ``out`` until all is done and written. Ctrl-C ends it with what was
    done so far, and leaves the journal; so does the end of the process. The same again goes on from there.

    Args:
        job: The job.
        out: The file that will be written of it.
        question: What is asked.
        count: How many processes calculate; as many as there are processors when left out.
        cluster: Address of a Dask scheduler whose workers see the job.
        resume: Whether an ``out`` that stands there was written by a stopped exploration, and may be replaced.
        progress: Called after each variant.
        write: Writes ``out`` of what was found.

    Raises:
        InputError: If an input, a value, a result or a target is not understood.
        WorkbookError: If the job cannot be opened or calculated, or ``out`` exists.
    """
    path, target_path = Path(job), Path(out)
    if not (resume and journal_of(target_path).exists()):
        refuse_existing(target_path)
    mark = mark_of(path)
    plan = _Plan(path, question)
    journal = Journal(target_path, mark)
    run = _Run(plan, journal, progress)
    try:
        with workers(Given(path, mark, plan.space.inputs), count, cluster) as hands:
            run.all(hands)
        found = run.found()
        write(found)
    except BaseException:
        journal.close(finished=False)
        raise
    journal.close(finished=not run.stopped)
    return found


class _Plan:
    """A question as the job understands it."""

    def __init__(self, path: Path, question: Question) -> None:
        known = Variants(path, ())
        self.path, self.question, self.inputs, self.report = path, question, known.inputs, known.report
        package = Package.open(path)
        self.system = unit_system(package)
        self.labels = labels(package, known.inputs)
        days = package.starts_1904
        chosen = [
            *(spaces.from_text(known.inputs, name, text, days) for name, text in question.vary.items()),
            *spaces.from_sets(known.inputs, question.sets, days),
        ]
        if not chosen:
            chosen = list(spaces.marked(known.inputs, days))
            if not chosen:
                raise InputError(
                    f"{path}: it marks no inputs to be varied: name them, such as frame_gap=1,2,4, or carry the job "
                    "onto the newer template first"
                )
        self.space = spaces.space(chosen)
        self.results = {result.name.casefold(): result for result in self.report.results}
        self.goals = self._goals()
        self.targets = (
            *(target(self.results, name, "at least", value) for name, value in question.at_least.items()),
            *(target(self.results, name, "at most", value) for name, value in question.at_most.items()),
        )
        for word in question.within:
            if not known.knows(word):
                raise InputError(f'there is no check with "{word}" in its rule')
        priced = known.reaching(self.space.inputs, PRICE)
        self.free = tuple(name for name in self.space.inputs if PRICE in self.results and name not in priced)
        self.most = question.most or (_MOST_IN_TIME if question.minutes else MOST)
        self.standing_values = {name: known.inputs[name].value for name in self.space.inputs}

    def _goals(self) -> tuple[Result, ...]:
        marked = [result for result in self.results.values() if result.best]
        if self.question.goals:
            marked = []
            for name, best in self.question.goals.items():
                found = self.results.get(name.casefold())
                if found is None or best not in ("least", "most"):
                    raise InputError(
                        f"{name}={best}: give a key result and its best, such as price=least or room_stc=most"
                    )
                marked.append(replace(found, best=best))  # type: ignore[arg-type]
        if not marked:
            raise InputError(
                f"{self.path}: it marks no result as a goal: name them, such as price=least, or carry the job onto the "
                "newer template first"
            )
        return tuple(sorted(marked, key=lambda result: result.name != PRICE))

    def judged(self, found: Outcome) -> Judged:
        """What the search is told of a variant."""
        return Judged(goals_of(found.results, self.goals), len(self.ruled_out(found)))

    def ruled_out(self, found: Outcome) -> tuple[str, ...]:
        """What rules a variant out."""
        missing = [goal.name for goal in self.goals if outcomes.number(found.results.get(goal.name)) is None]
        said = ruled_out(found, self.targets, self.question.within)
        return said or tuple(f"{name} is no number" for name in missing)


class _Run:
    """The steps of one exploration."""

    def __init__(self, plan: _Plan, journal: Journal, progress: Progress | None) -> None:
        self.plan = plan
        self.journal = journal
        self.stopped = ""
        self._held = journal.held
        self._progress = progress
        self._done: dict[tuple[Cell, ...], tuple[Mapping[str, Cell], Outcome]] = {}
        """What was tried, in its order, by what the inputs hold."""
        self._standing = 0
        minutes = plan.question.minutes
        self._end = time.monotonic() + 60 * minutes if minutes else None

    def all(self, hands: Workers) -> None:
        """Try what the search proposes, until it, the budget or a person ends it."""
        space = self.plan.space
        whole = space.size <= self.plan.most
        start = tuple(place or 0 for place in space.place_of(self.plan.standing_values))
        search = searches.search(space, self.plan.most - (0 if whole else self._kept_for_last), start)
        points = next(search, None)
        try:
            while points and (judged := self._round(hands, points)) is not None:
                try:
                    points = search.send(judged)
                except StopIteration:
                    points = None
            if not (whole or self.stopped):
                self._lean(hands)
        except KeyboardInterrupt:
            self.stopped = "a person"

    @property
    def _kept_for_last(self) -> int:
        """Variants of the budget that are kept for :meth:`_lean`."""
        return min(_LAST, self.plan.most // 5)

    def _lean(self, hands: Workers) -> None:
        """Take back, in the options to be shown, each change of the job that changes nothing that counts."""
        plan = self.plan
        home = plan.space.place_of(plan.standing_values)
        looked: set[Point] = set()
        while offer := next((each for _, each in self.found().offers if self._point(each) not in looked), None):
            point = self._point(offer)
            looked.add(point)
            changed = [place for place, own in enumerate(home) if own is not None and own != point[place]]
            singles = [_with(point, home, [place]) for place in changed]
            if self.stopped or len(self._done) + len(singles) >= plan.most:
                return
            own = goals_of(offer.outcome.results, plan.goals)
            judged = self._round(hands, singles) or []
            idle = [place for place, one in zip(changed, judged, strict=False) if not one.faults and one.goals == own]
            if len(idle) > 1:
                self._round(hands, [_with(point, home, idle)])

    def _point(self, variant: Variant) -> Point:
        return tuple(place or 0 for place in self.plan.space.place_of(variant.values))

    def _round(self, hands: Workers, points: Sequence[Point]) -> list[Judged] | None:
        """What became of the variants of a round, in their order; None where the time is over."""
        asked = [self.plan.space.values(point) for point in points]
        found: dict[int, Outcome] = {}
        for place, values in enumerate(asked):
            if (known := self.journal.known(values)) is not None:
                found[place] = known
        todo = [place for place in range(len(asked)) if place not in found]
        standing = self._standing + sum(not self.plan.ruled_out(one) for one in found.values())
        try:
            for place, one in hands.run([asked[place] for place in todo]):
                self.journal.add(asked[todo[place]], one)
                found[todo[place]] = one
                standing += not self.plan.ruled_out(one)
                if self._progress:
                    size = None if self._end else min(self.plan.most, self.plan.space.size)
                    self._progress(len(self._done) + len(found), size, standing)
                if self._end and time.monotonic() > self._end:
                    self.stopped = "time"
                    return None
        finally:
            # Also where it was stopped: what is done counts, in the order in which it was asked for.
            for place in sorted(found):
                self._done.setdefault(tuple(asked[place].values()), (asked[place], found[place]))
            self._standing = standing
        return [self.plan.judged(found[place]) for place in range(len(asked))]

    def found(self) -> Exploration:
        """What was found."""
        plan = self.plan
        standing_values = plan.standing_values
        variants = []
        for number, (values, one) in enumerate(self._done.values(), start=1):
            changed = sum(values[name] != standing_values[name] for name in values)
            variants.append(Variant(number, values, one, plan.ruled_out(one), changed))
        own = outcomes.outcome(figures(plan.report))
        base = Variant(0, standing_values, own, plan.ruled_out(own), 0)
        front = _front(variants, plan.goals)
        goals = [goals_of(variant.outcome.results, plan.goals) or () for variant in front]
        offers = [front[place] for place in fronts.three(goals)]
        counts = Counter(rule for variant in variants for rule in variant.ruled_out)
        return Exploration(
            job=plan.path,
            system=plan.system,
            inputs=plan.inputs,
            labels=plan.labels,
            results={result.name: result for result in plan.results.values()},
            space=plan.space,
            goals=plan.goals,
            targets=plan.targets,
            within=tuple(plan.question.within),
            base=base,
            variants=tuple(variants),
            front=tuple(front),
            offers=tuple(zip(_called(offers, plan.goals), offers, strict=True)),
            counts=dict(sorted(counts.items(), key=lambda item: (-item[1], item[0]))),
            free=plan.free,
            resumed=self._held,
            stopped=self.stopped,
        )


def _with(point: tuple[int | None, ...], home: Sequence[int | None], places: Sequence[int]) -> Point:
    """A variant with some choices as in the job."""
    return tuple((home if place in places else point)[place] or 0 for place in range(len(point)))


def _front(variants: Sequence[Variant], goals: Sequence[Result]) -> list[Variant]:
    """The best choices, cheapest first; of those alike in every goal the one that changes least in the job."""
    best: dict[fronts.Goals, Variant] = {}
    for variant in variants:
        own = goals_of(variant.outcome.results, goals)
        if variant.stands and own is not None and (own not in best or variant.changed < best[own].changed):
            best[own] = variant
    known = list(best)
    return [best[known[place]] for place in sorted(fronts.front(known), key=lambda place: known[place])]


_NAMES: Final = {PRICE: "Least price", "room_stc": "Most isolation", "nc_all": "Quietest"}


def _called(offers: Sequence[Variant], goals: Sequence[Result]) -> list[str]:
    """What the offers are called: the first and the last by their goals, those between by their value."""
    ends = [_NAMES.get(goal.name, f"{goal.best.capitalize()} {goal.label.lower()}") for goal in (goals[0], goals[-1])]
    if len(offers) < 2:
        return ends[: len(offers)] if offers else []
    return [ends[0], *(["Best value", "Next best value"][: len(offers) - 2]), ends[1]]

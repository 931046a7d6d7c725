"""An exploration as a workbook: three options as a page to send, two charts, every variant, and how they were found.

Cells hold values to sixteen figures, so that a variant read back (:mod:`.chosen`) is the one that was calculated.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.cautions import CAUTIONS
from stillbook.cells import Cell
from stillbook.office.explore.exploration import Exploration
from stillbook.office.explore.outcome import Figure, Variant, number
from stillbook.office.explore.search import SEED
from stillbook.office.reports import put_text, save_report, table_row
from stillbook.templates import look
from stillbook.templates.charts import GOLD, Cloud, clouds
from stillbook.templates.page import FIRST, Book, Page
from stillbook.workbook.job.estimate import Result
from stillbook.workbook.job.values import shown

NUMBERS: Final = "explored_numbers"
"""The name of the numbers of the variants, one under the other."""

INPUTS: Final = "explored_inputs"
"""The name of the inputs that vary, side by side, over what each variant gives them."""

JOB_INPUTS: Final = "explored_job_inputs"
"""The name of all inputs of the job, one under the other, their values right of them."""

PRICES: Final = "explored_results"
"""The name of the results that were goals, side by side, over what each variant comes to."""

OFFERS: Final = "explored_offers"
"""The name of the numbers of the options shown, side by side."""

OFFERED: Final = "explored_offer_names"
"""The name of what each of them is called."""

_ASKED_FOR: Final = (
    "outside_length",
    "outside_width",
    "outside_height",
    "floor_load",
    "doors_mass",
    "floor_left",
    "airflow",
)
"""Results that a client asks for beside the goals, where a job has them."""


def write_report(found: Exploration, path: Path, *, replace: bool = False) -> Path:
    """Write an exploration as a workbook; gives its path.

    Raises:
        WorkbookError: If it exists and may not be replaced, or cannot be written.
    """
    book = Book(found.system, "Options")
    _Options(book, found).write()
    charts = book.page(
        "Charts",
        "Every variant that passes, by price and by what it gives; the front of best choices is marked.",
        (30, 10, *[15] * 6),
        wide=True,
        single=True,
    )
    table = _Variants(book, found)
    table.write()
    _charts(charts, found, table)
    _ruled_out(book, found)
    _how(book, found)
    _job(book, found)
    return save_report(book, path, replace=replace)


# --- the page to send -------------------------------------------------------------------------------------------------


class _Options:
    """The three options side by side."""

    def __init__(self, book: Book, found: Exploration) -> None:
        self.found = found
        self.variants = [variant for _, variant in found.offers]
        purpose = (
            "Ways to build the same room, side by side. Each passes every check of its estimate that can be judged."
        )
        self.page = book.page("Options", purpose, (46, 19, 19, 19), single=True)

    def write(self) -> None:
        page, found = self.page, self.found
        for name, label in (("client", "Client"), ("project", "Project"), ("reference", "Reference")):
            held = found.inputs[name].value if name in found.inputs else None
            if held not in (None, ""):
                page.put(page.at, FIRST, label, font=look.QUIET)
                put_text(page, page.at, FIRST + 1, str(held))
                page.sheet.cell(page.at, FIRST + 1).font = look.BODY
                page.at += 1
        page.skip()
        if not self.variants:
            self._none()
        else:
            self._figures()
            self._differences()
            self._notes()
        page.cautions("Please note", CAUTIONS)
        page.finish(page.at - 2)

    def _none(self) -> None:
        self.page.note(
            f"None of {len(self.found.variants)} variants passes. The sheet Ruled out says what stands in the way."
        )
        self.page.skip()

    def _figures(self) -> None:
        page, found = self.page, self.found
        page.heading("What they come to")
        page.head_row(("", *(called for called, _ in found.offers)))
        page.name(OFFERED, page.at - 1, FIRST + 1, page.at - 1, FIRST + len(self.variants))
        goals = {goal.name for goal in found.goals}
        also = [found.results[name] for name in _ASKED_FOR if name in found.results and name not in goals]
        for result in (*found.goals, *also):
            values = [found.value(variant, result.name) for variant in self.variants]
            name = f"{result.label}, {result.unit}" if result.unit else result.label
            strong = result.name in goals
            table_row(page, (name, *values), ("text", *[_format(result)] * len(values)), strong=strong)
        row = table_row(
            page,
            ("Number of the variant", *(variant.number for variant in self.variants)),
            ("text", *["0"] * len(self.variants)),
        )
        page.name(OFFERS, row, FIRST + 1, row, FIRST + len(self.variants))
        page.skip()

    def _differences(self) -> None:
        page, found = self.page, self.found
        page.heading("What differs", "all else is as in the estimate")
        page.head_row(("", *(called for called, _ in found.offers)))
        for name in found.space.inputs:
            values = [variant.values[name] for variant in self.variants]
            if len(set(values)) > 1:
                unit = found.inputs[name].spec.unit
                row = table_row(
                    page,
                    (found.labels[name], *(in_words(value, unit) for value in values)),
                    ["text"] * (len(values) + 1),
                )
                for column in range(FIRST + 1, FIRST + 1 + len(values)):
                    page.sheet.cell(row, column).alignment = look.HEAD_RIGHT
        page.skip()
        alike = [
            (name, self.variants[0].values[name])
            for name in found.space.inputs
            if len({variant.values[name] for variant in self.variants}) == 1
            and self.variants[0].values[name] != found.base.values[name]
        ]
        if alike:
            page.heading("Other than in the estimate, in each of them")
            for name, value in alike:
                unit = found.inputs[name].spec.unit
                was = in_words(found.base.values[name], unit)
                table_row(page, (found.labels[name], in_words(value, unit), f"was {was}"), ("text", "text", "text"))
            page.skip()

    def _notes(self) -> None:
        page, found = self.page, self.found
        page.heading("How they were chosen")
        said = []
        if found.targets:
            said.append(
                f"Each reaches {'; '.join(_target(found, words.name, words.words) for words in found.targets)}."
            )
        said.append(
            f"From {len(found.front)} best choices among {len(found.standing)} ways that pass; none of the others is "
            f"better in {_listed([_small(goal.label) for goal in found.goals], 'or')} without being worse in another."
        )
        if len(self.variants) > 2:
            said.append(
                f"{found.offers[1][0]}: each of these is counted from 0 for the best of these choices to 1 for the "
                "worst, and the least sum is taken."
            )
        said.append("What is predicted, such as ratings and levels, has the range that the estimate gives of it.")
        for text in said:
            page.note(text)
        waits = sorted({rule for variant in self.variants for rule in variant.outcome.waits})
        if waits:
            page.note(f"Not judged yet, for want of a figure: {'; '.join(waits)}.")
        page.skip()


# --- every variant ----------------------------------------------------------------------------------------------------


class _Variants:
    """The table of all variants: the front, the others that stand, then those ruled out."""

    def __init__(self, book: Book, found: Exploration) -> None:
        self.found = found
        self.book = book
        on_front = {variant.number for variant in found.front}
        others = [variant for variant in found.standing if variant.number not in on_front]
        price = found.goals[0].name
        others.sort(key=lambda variant: (number(found.value(variant, price)) or 0.0, variant.number))
        out = [variant for variant in (found.base, *found.variants) if not variant.stands]
        base = [found.base] if found.base.stands else []
        self.blocks: tuple[Sequence[Variant], ...] = (found.front, others, base, out)
        self.rows: list[tuple[int, int]] = []
        """First and last row of each block; the last before the first where it is empty."""
        widths = (9, 13, *[13] * len(found.goals), *[self._width(name) for name in found.space.inputs], 10, 46)
        self.page = book.page(
            "Variants",
            "All that was tried, with the exact inputs of each. Number 0 is the job as it stands.",
            widths,
            wide=True,
        )

    def _width(self, name: str) -> float:
        """Room for an input's name, and for the longest of its values."""
        longest = max(
            (len(shown(variant.values[name])) for variant in (self.found.base, *self.found.variants)), default=0
        )
        return max(11.0, min(40.0, max(len(name) * 0.95, longest * 1.15)))

    @property
    def goal_columns(self) -> list[int]:
        """The columns of the goals."""
        return [FIRST + 2 + place for place in range(len(self.found.goals))]

    def write(self) -> None:
        page, found = self.page, self.found
        goals, inputs = found.goals, found.space.inputs
        names = ("", "", *(goal.name for goal in goals), *inputs, "", "")
        for offset, name in enumerate(names):
            if name:
                page.put(page.at, FIRST + offset, name, font=look.QUIET, align=look.RIGHT)
        first_input = FIRST + 2 + len(goals)
        self._name_across(PRICES, FIRST + 2, len(goals))
        self._name_across(INPUTS, first_input, len(inputs))
        page.at += 1
        units = [found.inputs[name].spec.unit for name in inputs]
        page.head_row(
            (
                "Number",
                "Standing",
                *(_with_unit(goal.label, goal.unit) for goal in goals),
                *(_with_unit(found.labels[name], unit) for name, unit in zip(inputs, units, strict=True)),
                "Changes",
                "Ruled out by",
            ),
            words=(1, len(names) - 1),
        )
        head = page.at - 1
        for words, block in zip(("front", "passes", "passes", "ruled out"), self.blocks, strict=True):
            start = page.at
            for variant in block:
                self._row(variant, words)
            self.rows.append((start, page.at - 1))
        last = page.at - 1
        self.book.name(NUMBERS, page, head + 1, FIRST, last=f"${get_column_letter(FIRST)}${max(last, head + 1)}")
        page.sheet.auto_filter.ref = f"{get_column_letter(FIRST)}{head}:{get_column_letter(page.last_column)}{last}"
        page.sheet.freeze_panes = f"{get_column_letter(FIRST + 2)}{head + 1}"
        page.finish(head=head)

    def _name_across(self, name: str, column: int, count: int) -> None:
        row = self.page.at
        self.book.name(name, self.page, row, column, last=f"${get_column_letter(column + count - 1)}${row}")

    def _row(self, variant: Variant, words: str) -> None:
        found = self.found
        results = [found.value(variant, goal.name) for goal in found.goals]
        held = list(variant.values.values())
        reasons = "; ".join(variant.ruled_out)
        values = (
            variant.number,
            words,
            *results,
            *(variant.values[name] for name in found.space.inputs),
            variant.changed,
            reasons,
        )
        formats = ("0", "text", *(_format(goal) for goal in found.goals), *["General"] * len(held), "0", "text")
        row = table_row(self.page, values, formats, strong=words == "front")
        cell = self.page.sheet.cell(row, self.page.last_column)
        cell.alignment = look.UNWRAPPED
        self.page.sheet.row_dimensions[row].height = 15


# --- the charts -------------------------------------------------------------------------------------------------------


def _charts(page: Page, found: Exploration, table: _Variants) -> None:
    columns = dict(zip((goal.name for goal in found.goals), table.goal_columns, strict=True))
    page.heading("Marked in the charts")
    page.head_row(("", "Number", *(_with_unit(goal.label, goal.unit) for goal in found.goals)))
    first = page.at
    marked = [*found.offers, ("The job as it stands", found.base)]
    for called, variant in marked:
        said = called if variant.stands else f"{called}: does not pass"
        values = [found.value(variant, goal.name) for goal in found.goals]
        table_row(page, (said, variant.number, *values), ("text", "0", *(_format(goal) for goal in found.goals)))
    page.skip()
    page.note(_said_of_base(found))
    page.skip()
    if not found.standing:
        page.finish()
        return
    across = found.goals[1:] or found.goals
    price = found.goals[0]
    for place, goal in enumerate(across):
        _chart(page, found, table, goal, price, columns, first, len(marked), left=place % 2 == 0)
        if place % 2:
            page.skip(24)
    page.skip(24)
    page.finish()


def _chart(
    page: Page,
    found: Exploration,
    table: _Variants,
    goal: Result,
    price: Result,
    columns: dict[str, int],
    first: int,
    marked: int,
    *,
    left: bool,
) -> None:
    shapes = (
        ("On the front", "diamond", 8, look.ACCENT, True),
        ("Passes, another is better", "circle", 4, look.QUIET_INK, False),
    )
    drawn = [
        Cloud(name, (columns[goal.name], *rows), columns[price.name], table.page, mark, size, shade, filled)
        for (name, mark, size, shade, filled), rows in zip(shapes, table.rows, strict=False)
        if rows[1] >= rows[0]
    ]
    own = {each.name: FIRST + 2 + place for place, each in enumerate(found.goals)}
    offers = (first, first + marked - 2)
    if marked > 1:
        drawn.append(
            Cloud("To show the client", (own[goal.name], *offers), own[price.name], page, "square", 12, GOLD, False)
        )
    base = first + marked - 1
    if all(number(found.value(found.base, each.name)) is not None for each in (goal, price)):
        drawn.append(
            Cloud(
                "The job as it stands",
                (own[goal.name], base, base),
                own[price.name],
                page,
                "triangle",
                10,
                look.CAUTION_EDGE,
            )
        )
    standing = (*found.standing, found.base)
    best = "right" if goal.best == "most" else "left"
    clouds(
        page,
        title=f"{price.label} against {_small(goal.label)}",
        told=f"A point for each variant that passes, {_with_unit(goal.label, goal.unit)} across and "
        f"{_with_unit(price.label, price.unit)} up; best is low and {best}. Of {len(found.standing)} points "
        f"{len(found.front)} are marked as the front of best choices. The sheet Variants holds the figures.",
        drawn=drawn,
        across_title=_with_unit(goal.label, goal.unit),
        up_title=_with_unit(price.label, price.unit),
        across_limits=_limits([number(found.value(variant, goal.name)) for variant in standing], whole=True),
        up_limits=_limits([number(found.value(variant, price.name)) for variant in standing]),
        size=(11.8, 10.5),
        anchor=f"{get_column_letter(FIRST if left else FIRST + 4)}{page.at}",
    )


def _said_of_base(found: Exploration) -> str:
    if found.alone:
        return found.alone
    if found.base_on_front:
        return (
            "The job as it stands is as good as the front: no variant beats it in one goal and equals it in the rest."
        )
    if found.base.stands:
        return "The job as it stands is not on the front: a variant of it is as good in every goal and better in one."
    return f"The job as it stands is not on the front: it is ruled out by {_listed(found.base.ruled_out)}."


# --- how they were found ----------------------------------------------------------------------------------------------


def _ruled_out(book: Book, found: Exploration) -> None:
    page = book.page(
        "Ruled out", "What rules variants out, by name: a check that fails, or a target that is missed.", (70, 14, 14)
    )
    page.heading(
        "Checks and targets",
        f"{len(found.variants) - len(found.standing)} of {len(found.variants)} variants are ruled out",
    )
    page.head_row(("Check or target", "Variants", "Share"))
    for rule, count in found.counts.items():
        table_row(page, (rule, count, count / max(1, len(found.variants))), ("text", "0", look.PERCENT))
    page.note("A variant that fails several counts in each of them.")
    page.finish()


def _how(book: Book, found: Exploration) -> None:
    page = book.page("How", "What was varied, what was looked for, and how, so that it can be done again.", (40, 60))
    page.heading("What varied", f"{found.space.size:,} variants in all")
    page.head_row(("Choice", "Options"), words=(0, 1))
    for choice in found.space.choices:
        label = found.labels.get(choice.name, choice.name)
        table_row(
            page, (f"{label} ({choice.name})", "; ".join(option.label for option in choice.options)), ("text", "text")
        )
    page.skip()
    page.heading("What was looked for")
    rows = [
        (f"{goal.best.capitalize()} is best", f"{_with_unit(goal.label, goal.unit)} ({goal.name})")
        for goal in found.goals
    ]
    rows += [("Target", target.words) for target in found.targets]
    rows += [("Has to pass, not only to wait", f'every check with "{word}" in its rule') for word in found.within]
    rows += [("Job", found.job.name), ("Tried", str(len(found.variants))), ("Pass", str(len(found.standing)))]
    rows.append(("On the front", str(len(found.front))))
    if found.stopped:
        rows.append(("Ended before its budget by", found.stopped))
    for pair in rows:
        table_row(page, pair, ("text", "text"))
    page.skip()
    page.note(
        "Every variant there is was tried."
        if found.is_whole
        else f"Points of Sobol's sequence (seed {SEED}) over all choices, then neighbours of the front: one "
        "choice or two changed. The same job, choices and number of variants give the same again. A better one may be "
        "among those not tried."
    )
    if found.free:
        page.note(
            f"The price does not depend on {_listed([found.labels[name] for name in found.free])}: what is better "
            "there comes at no cost here. See whether it does on site, and price it by a line of its own if not."
        )
    page.note(
        "A variant is the whole estimate, calculated and checked again. Checks that wait for an input rule nothing out."
    )
    page.finish()


def _job(book: Book, found: Exploration) -> None:
    page = book.page("Job", "The inputs of the job as it stands; a variant changes some of them.", (46, 26, 26, 12))
    page.head_row(("What it is", "Input", "Value", "Unit"), words=(0, 1, 3))
    first = page.at
    for name, entry in found.inputs.items():
        unit = "" if entry.spec.unit == "text" else entry.spec.unit
        table_row(page, (found.labels[name], name, entry.value, unit), ("text", "text", "General", "text"))
    book.name(JOB_INPUTS, page, first, FIRST + 1, last=f"${get_column_letter(FIRST + 1)}${page.at - 1}")
    page.finish()


# --- words and numbers ------------------------------------------------------------------------------------------------


def _format(result: Result) -> str:
    if number(result.value) is None:
        return "General"
    if len(result.unit) == 3 and result.unit.isupper() and result.unit.isalpha():
        return look.MONEY
    return look.WHOLE if abs(number(result.value) or 0.0) >= 100 or not result.unit else look.ONE


def in_words(value: Cell, unit: str) -> str:
    """What an input holds, with its unit, as a page says it; what is blank may come by a name that is chosen."""
    if value is None:
        return "not given"
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return f"{shown(value)} {unit}".rstrip() if is_number and unit not in ("text", "date", "sheets") else shown(value)


def _with_unit(label: str, unit: str) -> str:
    return f"{label}, {unit}" if unit and unit != "text" else label


def _small(label: str) -> str:
    """A label within a sentence."""
    return f"{label[:1].lower()}{label[1:]}"


def _target(found: Exploration, name: str, words: str) -> str:
    label = found.results[name].label
    return f"{_small(label)}{words.removeprefix(name)}"


def _listed(words: Sequence[str], last: str = "and") -> str:
    """Words in a row.

    >>> _listed(["a", "b", "c"])
    'a, b and c'
    """
    return " ".join(filter(None, (", ".join(words[:-1]), last if len(words) > 1 else "", *words[-1:])))


def _limits(values: Sequence[Figure], *, whole: bool = False) -> tuple[float, float]:
    """Limits of an axis, a little beyond the values, at round numbers."""
    known = [value for held in values if (value := number(held)) is not None]
    low, high = min(known), max(known)
    step = max(10.0 ** math.floor(math.log10(max(high - low, 1e-9))) / 2, 1.0 if whole else 1e-9)
    return math.floor(low / step - 0.25) * step, math.ceil(high / step + 0.25) * step

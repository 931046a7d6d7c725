"""The shapes of what commands print with ``--json``; ``docs/json.md`` explains them.

A number stands as a number with its unit beside it, an error as its code and reason, a blank as null. A path is as it
was given, but ``written`` tells the whole path of a file that a command made.
"""

from __future__ import annotations

from typing import Any, TypedDict


class Error(TypedDict):
    """What stands in the place of a value that is an error: the code that its cell shows, as ``#NUM!``, and why."""

    error: str
    reason: str


class Failure(Error, total=False):
    """What a command prints that fails, and what stands in the place of a file that could not be worked on.

    ``error`` is the code of a cell where a formula fails; else ``usage`` (the command line is wrong), ``input`` (a file
    or a value is), ``denied`` (the workbook does not stand: ``reasons`` lists why) or ``stopped``.
    """

    file: str
    reasons: list[str]


Value = float | str | bool | Error | None
"""What a cell holds."""


class Evaluated(TypedDict):
    """``eval``."""

    value: Value | list[list[Value]]
    unit: str | None
    headings: list[str]
    error: str | None
    reason: str | None


class Formulas(TypedDict):
    """``formulas``: each as the service tells of it to hosts (:mod:`stillbook.service.listing`)."""

    formulas: list[dict[str, Any]]


class Input(TypedDict):
    """An input of a workbook."""

    name: str
    value: Value
    unit: str
    help: str
    least: float | None
    most: float | None
    choices: list[str]
    offers: list[str]
    default: float | str | None
    whole: bool
    optional: bool
    missing: bool
    sheet: str
    cell: str


class Origin(TypedDict):
    """What a file says of what made it; each is empty where it does not say."""

    formulas: str
    template: str
    version: str


class Inputs(TypedDict):
    """``inputs``."""

    file: str
    origin: Origin
    inputs: list[Input]
    missing: list[str]


class Result(TypedDict):
    """A key result of a workbook."""

    name: str
    label: str
    value: Value
    unit: str
    sheet: str
    cell: str
    best: str


class Check(TypedDict):
    """A rule of the trade as a workbook judges it: it passes, fails, waits or is an error."""

    rule: str
    state: str
    advice: str
    waits_for: list[str]


class Fault(TypedDict):
    """A cell that is an error, or holds what its input does not take (``error`` is then ``input``)."""

    cell: str
    error: str
    reason: str


class Calculated(TypedDict):
    """``set``, and each workbook of ``calc``."""

    file: str
    stands: bool
    formulas: int
    results: list[Result]
    checks: list[Check]
    missing: list[str]
    refused: list[Fault]
    errors: list[Fault]
    consequences: int
    read: list[str]


class InputChange(TypedDict):
    """An input that another value is taken for."""

    name: str
    before: Value
    after: Value
    unit: str


class Mending(TypedDict):
    """A change with which a failing check passes and no other fails anew; none was found where ``changes`` is empty.

    ``kind`` is "nearest", or "cheapest" for a cheaper one further off; ``price`` is the price's change; ``left`` are
    the checks that still fail; ``tried`` counts the variants calculated.
    """

    rule: str
    kind: str
    changes: list[InputChange]
    price: float | None
    left: list[str]
    tried: int


class CalculatedOnce(Calculated, total=False):
    """Each workbook of ``calc``; ``mendings`` are there with ``--mend``."""

    mendings: list[Mending]


class AllCalculated(TypedDict):
    """``calc``."""

    workbooks: list[CalculatedOnce | Failure]


class Left(TypedDict):
    """What an old workbook holds that the new one does not."""

    kind: str
    place: str
    content: str
    reason: str


class Taken(TypedDict):
    """What a new estimate took from another job, or from a variant of an exploration."""

    file: str
    inputs: list[str]
    prices: list[str]
    cleared: list[str]
    left: list[Left]


class Started(Calculated):
    """``demo`` and ``new``."""

    written: str
    taken: Taken | None


class Printed(TypedDict):
    """``print``; a line for what was printed, and one for each thing to look at."""

    file: str
    written: str
    lines: list[str]


class Shared(TypedDict):
    """``share``."""

    file: str
    written: str
    audience: str
    revision: str
    sheets: list[str]
    formulas: int
    fixed: list[str]
    taken: list[str]
    unseen: list[str]
    left_out: list[str]
    searched: int
    failed: list[str]
    mark: str


class Bid(TypedDict):
    """A contractor's bid; unit prices by the number of the line."""

    contractor: str
    file: str
    as_written: float | None
    sum: float
    own: float
    alike: float
    missing: list[int]
    prices: dict[str, float]
    remarks: str


class BidLine(TypedDict):
    """A line that was asked for; unit prices by contractor."""

    number: int
    text: str
    unit: str
    quantity: float
    our_price: float
    prices: dict[str, float]
    lowest: str
    spread: float | None


class Finding(TypedDict):
    """Something about a bid to look at; line 0 is the bid as a whole."""

    contractor: str
    line: int
    kind: str
    text: str


class Bids(TypedDict):
    """``bids``; sums and prices are in the currency of the job."""

    job: str
    written: str
    our_cost: float
    bids: list[Bid]
    lines: list[BidLine]
    findings: list[Finding]
    concerns: list[Finding]
    unread: list[Failure]


class Difference(TypedDict):
    """One thing that differs between two workbooks; ``only`` is "first" or "second" where one alone has it."""

    subject: str
    name: str
    label: str
    unit: str
    before: Value
    after: Value
    change: float | None
    only: str


class Compared(TypedDict):
    """``compare``; ``same`` counts what is alike by subject, ``written`` is the workbook of ``--out``."""

    first: str
    second: str
    same: dict[str, int]
    differences: list[Difference]
    written: str | None


class CarriedThing(TypedDict):
    """An input or a row of prices that found its home."""

    kind: str
    name: str
    value: Value
    note: str


class NewInput(TypedDict):
    """An input that the old workbook does not have."""

    name: str
    value: Value


class Carried(TypedDict):
    """``carry``."""

    file: str
    written: str
    carried: list[CarriedThing]
    left: list[Left]
    new_inputs: list[NewInput]
    differences: list[Difference]


class Moved(TypedDict):
    """A price that changed in a job."""

    code: str
    what: str
    before: float | None
    after: float


class Repriced(TypedDict):
    """A job of ``reprice``."""

    file: str
    saved: bool
    moved: list[Moved]
    differences: list[Difference]
    refused: list[str]
    missing: list[str]


class AllRepriced(TypedDict):
    """``reprice``."""

    trial: bool
    jobs: list[Repriced | Failure]


class BatchRow(TypedDict):
    """A workbook of a batch; ``results`` are its key results by name."""

    file: str
    state: str
    message: str
    formulas: int
    errors: int
    passes: int
    fails: int
    waits: int
    missing: str
    moved: int
    results: dict[str, str | float]


class Batch(TypedDict):
    """``batch``."""

    written: str
    resumed: int
    rows: list[BatchRow]


class Explored(TypedDict):
    """A variant: what the inputs that vary hold, what it comes to in each goal, and what rules it out."""

    number: int
    inputs: dict[str, Value]
    results: dict[str, Value]
    front: bool
    ruled_out: list[str]


class Offer(TypedDict):
    """A variant to show a client."""

    called: str
    number: int


class Exploration(TypedDict):
    """``explore``; ``written`` are the files, ``base`` is the job as it stands, ``counts`` what rules out how many."""

    file: str
    written: list[str]
    stopped: str
    resumed: int
    whole: bool
    goals: dict[str, str]
    targets: list[str]
    offers: list[Offer]
    front: list[int]
    base_on_front: bool
    base: Explored
    variants: list[Explored]
    counts: dict[str, int]
    free: list[str]


class OptionTaken(TypedDict):
    """An option of an exploration; null where the exploration did not look for it."""

    called: str
    number: int
    price: float | None
    isolation: float | None
    level: float | None
    changes: list[str]


class OptionsTaken(Calculated):
    """``options``; ``others`` are inputs that the job holds another value of than when it was explored."""

    options: list[OptionTaken]
    others: list[str]


class Template(TypedDict):
    """A template that comes with Stillbook."""

    name: str
    systems: list[str]
    summary: str


class OwnTemplate(TypedDict):
    """A template of the office's own; ``fault`` says why it cannot be read."""

    name: str
    file: str
    inputs: int
    added: str
    fault: str


class Templates(TypedDict):
    """``templates``."""

    templates: list[Template]
    own: list[OwnTemplate]
    folder: str


class Learned(TypedDict):
    """``templates add``."""

    name: str
    written: str
    inputs: list[Input]
    results: list[str]
    checks: int
    unnoted: list[str]
    shown_to_client: list[str]
    errors: int


class Drawn(TypedDict):
    """``draw``: the file, and the drawings in it."""

    file: str
    written: str
    views: list[str]


class Connected(TypedDict):
    """``connect`` and ``disconnect``: what was done, and what there is to do."""

    program: str
    lines: list[str]


class Converted(Connected):
    """``convert``."""

    file: str
    written: str


class TokenMade(TypedDict):
    """``serve tokens add``; ``link`` is empty where the service has no public address."""

    name: str
    token: str
    link: str


class TokenName(TypedDict):
    """A name that has a token, and since when."""

    name: str
    since: str


class Tokens(TypedDict):
    """``serve tokens list``."""

    tokens: list[TokenName]


class TokenGone(TypedDict):
    """``serve tokens withdraw``."""

    name: str


class Looked(TypedDict):
    """A subject that ``doctor`` looked at; its state is good, absent, outdated or fault."""

    subject: str
    state: str
    detail: str
    next: str


class Health(TypedDict):
    """``doctor``; ``next`` is the first thing to do."""

    findings: list[Looked]
    next: str


class Manual(TypedDict):
    """``manual``: the folder, the page to open, and how many pages there are."""

    written: str
    start: str
    pages: int


class BookedAmounts(TypedDict):
    """What the books say of one code or trade; a null was not written down."""

    code: str
    quantity: float | None
    hours: float | None
    money: float | None


class ActualLine(TypedDict):
    """A code or a trade as estimated, and as booked; ``actual`` is its money with its hours at the wage of the job."""

    code: str
    text: str
    trade: str
    unit: str
    quantity: float | None
    hours: float
    money: float
    labour: float
    cost: float
    actual: float | None
    booked: BookedAmounts | None


class MeasuredThing(TypedDict):
    """One thing that was measured; ``error`` is measured less predicted."""

    what: str
    band: str
    value: float
    predicted: float
    unit: str
    error: float


class StrayedThing(TypedDict):
    """How far measurements lay from predictions in all jobs that are kept."""

    what: str
    band: str
    unit: str
    mean: float
    spread: float | None
    jobs: int


class ProposedFigure(TypedDict):
    """What finished jobs propose for a code."""

    code: str
    what: str
    unit: str
    likely: float
    low: float
    high: float
    jobs: int


class TakenFigure(TypedDict):
    """A price that was taken into a price book."""

    code: str
    what: str
    before: float | None
    after: float
    jobs: int


class Actuals(TypedDict):
    """``actuals``; ``kept`` is null in a trial."""

    file: str
    currency: str
    lines: list[ActualLine]
    trades: list[ActualLine]
    measured: list[MeasuredThing]
    strayed: list[StrayedThing]
    proposals: list[ProposedFigure]
    kept: str | None
    replaced: bool
    taken: list[TakenFigure]

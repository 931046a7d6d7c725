"""Random jobs shared with both readers, each copy searched for every price, rate, cost and margin of its job.

The search is this module's own: it shares nothing with the one that the copy went through before it was written.
``STILLBOOK_JOBS`` says how many jobs there are, ``STILLBOOK_SEED`` where chance starts.
"""

import datetime
import html
import io
import os
import random
import re
import zipfile
from collections.abc import Iterable, Iterator

import pytest

from chance import drawn
from stillbook.share.copies import share
from stillbook.share.signs import seen_signs
from stillbook.templates.demo import values as demo_values
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import read_area
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job

JOBS = int(os.environ.get("STILLBOOK_JOBS", "4"))
NOW = datetime.datetime(2026, 3, 2, 9, 30)
TEMPLATES = ("booth-estimate", "room-conversion")
SYSTEMS = ("US", "SI")

SHARES = ("margin", "overhead", "contingency", "tax")
PRICED = ("price_costs", "price_rates", "labour_rates")
OFFICE_SHEETS = ("Job price", "Unit costs")
"""The sheets of costs and of prices: of what they hold only what a reader's page shows may leave the office."""

TEXTS = (
    "Ünïcödé & Søn <Ltd> \"quoted\" 'single'",
    "渋谷の録音室 🎙️ \u200fעברית\u200f",
    "=1+1",
    "@client",
    "-31,415.92 is our price",
    "+44 20 7946 0000",
    "$12,345.67 (invented)",
    "12345.67",
    "_x0041_ and _x000D_ as typed",
    "e\u0301 and \u200bzero width\u200b",
    "tab\tinside",
    "  spaces around it  ",
    "'apostrophe first",
    "]]> <!-- --> <?xml?> &amp; &#65;",
    "NUL-like \\0 and backslash \\n",
    "a" * 300,
)
WORDS = ("Quibber", "Vantrel", "Ossimund", "Trakelin", "Hulvesta")


# --- a random job -----------------------------------------------------------------------------------------------------


def fancy(chance: random.Random, low: float, high: float) -> float:
    """A number whose digits stand nowhere by chance: six figures, the last of them odd."""
    number = chance.uniform(low, high)
    places = 5 - len(str(int(number)))
    return round(round(number, places) + 10**-places * 0.3, places + 1)


def typed(chance: random.Random) -> str:
    return f"{chance.choice(TEXTS)} {chance.choice(WORDS)}{chance.randrange(10**6):06d}"


def random_job(chance: random.Random) -> tuple[Job, dict[str, str]]:
    """A calculated job with random inputs, prices and texts, and the texts that it withholds from both readers."""
    job = Job.open(template(chance.choice(TEMPLATES)).path(chance.choice(SYSTEMS)))
    texts = {name: typed(chance) for name in ("client", "project", "reference", "prepared_by")}
    wanted = {name: value for name, value in demo_values().items() if name in job.inputs}
    wanted |= {name: fancy(chance, 0.05, 0.35) for name in SHARES}
    entries = [entry for entry in job.inputs.values() if entry.name not in wanted and entry.name not in texts]
    for entry in chance.sample(entries, 12):
        if entry.spec.choices:
            wanted[entry.name] = chance.choice(entry.spec.choices)
        elif isinstance(entry.value, float) and entry.spec.least is not None and entry.spec.most is not None:
            value = min(max(entry.value * chance.uniform(0.85, 1.2), entry.spec.least), entry.spec.most)
            wanted[entry.name] = float(round(value)) if entry.spec.whole else round(value, 3)
    for name, value in (wanted | texts).items():
        try:
            job.set({name: value})
        except WorkbookError:
            assert name not in SHARES
    hidden = {f"spare row {n}": f"{chance.choice(WORDS)}{chance.randrange(10**6):06d} {chance.choice(TEXTS)}" for n in range(2)}  # fmt: skip
    job.write(prices(job, chance, hidden.values()))
    job.calculate()
    return job, texts | hidden


def prices(job: Job, chance: random.Random, hidden: Iterable[str]) -> dict[str, dict[tuple[int, int], Change]]:
    """Every price and rate replaced, and rows that no line uses."""
    changes: dict[str, dict[tuple[int, int], Change]] = {}
    for name in PRICED:
        sheet, area = places(job, name)
        for at in area.cells():
            if isinstance(job.package.value(sheet, *at), float):
                changes.setdefault(sheet, {})[at] = Change(fancy(chance, 11, 900))
    sheet, codes = places(job, "price_codes")
    blank = [at for at in codes.cells() if job.package.value(sheet, *at) in (None, "")]
    for (row, column), text in zip(blank, hidden, strict=False):
        changes[sheet][row, column] = Change(f"Z{chance.randrange(10**8):08d}Q")
        changes[sheet][row, column + 1] = Change(text)
        changes[sheet][row, column + 3] = Change(fancy(chance, 1000, 9000))
    return changes


def places(job: Job, name: str) -> tuple[str, object]:
    return next(entry.cells for entry in job.package.names if entry.name == name)


# --- the search -------------------------------------------------------------------------------------------------------


def contents(data: bytes, where: str = "") -> Iterator[tuple[str, bytes]]:
    """Every part of a zip file, of zip files in it, and what lies in the container beside them."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        yield f"{where}comment", archive.comment
        for entry in archive.infolist():
            part = archive.read(entry)
            yield f"{where}{entry.filename}", part
            yield f"{where}{entry.filename} (entry)", entry.filename.encode() + entry.comment + entry.extra
            if part.startswith(b"PK\x03\x04"):
                yield from contents(part, f"{where}{entry.filename}/")


CELL_END = re.compile(r"</(?:\w+:)?(?:v|c|pt|si|lpwstr)>")
"""Where a cell, a point of a chart or a property ends: the digits of two are no number; those of runs of one text are."""


def readings(data: bytes) -> Iterator[str]:
    """A part as text in each way that it might be read."""
    for coding in ("utf-8", "latin-1", "utf-16-le", "utf-16-be"):
        text = data.decode(coding, "replace")
        yield text
        if coding == "utf-8":
            yield html.unescape(text)
            yield html.unescape(re.sub(r"<[^>]*>", "", CELL_END.sub(" ", text)))
            yield re.sub(r"_x([0-9A-Fa-f]{4})_", lambda sign: chr(int(sign[1], 16)), html.unescape(text))


STRUCTURE = re.compile(
    r'rgb="[0-9A-F]{8}"|srgbClr val="[0-9A-F]{6}"|<(?:\w+:)?ln w="\d{1,6}"|\b[0-9a-f]{64}\b|(?P<page_break><brk\b[^<>]*?) max="(?:16383|1048575)"'
)
"""Digits that may be those of a price by chance: of a colour, the width of a line, a digest, and the last column or row that a page break goes to."""

NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?(?:[eE][+-]?\d+)?")


def numbers(data: bytes) -> set[float]:
    """Every number in a part, however it is written."""
    found = set()
    for token in {token for text in readings(data) for token in NUMBER.findall(STRUCTURE.sub(r"\g<page_break>", text))}:
        plain = token.replace(",", "")
        found.add(float(plain) if len(plain) < 40 else 0.0)
        found |= {float(piece) for piece in re.findall(r"\d+(?:\.\d+)?", token) if len(piece) < 40}
    return found


def forms(number: float) -> set[float]:
    """A number as it might be shown: whole or rounded, as a share or a percentage, where its digits are telling."""
    found = {number, float(f"{number:.10g}"), float(f"{number:.12g}")}
    for scaled in (number, number * 100):
        found |= {round(scaled, places) for places in range(5)}
    return {form for form in found if telling(form)}


def telling(number: float) -> bool:
    digits = f"{number:.15g}".partition("e")[0].replace(".", "").strip("0")
    return len(digits) >= 5


TOLD_A_CLIENT = ("price_before_tax", "tax_amount", "offered_amounts", "offered_totals")
"""What the sentences of a proposal tell of the office's sheets: what the price is made of, and what an option comes to."""


def told(job: Job, who: str) -> set[float]:
    """Numbers that the sentences of a reader's page tell."""
    cells = [
        (sheet, at)
        for name in TOLD_A_CLIENT
        if who == "client"
        for sheet, area in [places(job, name)]
        for at in area.cells()
    ]
    return numbers("\n".join(str(job.package.value(sheet, *at)) for sheet, at in cells).encode())


def withheld_numbers(job: Job, who: str) -> dict[float, str]:
    """Each form of each number of the office's sheets and shares, and where it stands; what the page shows apart."""
    shown = told(job, who)
    sheet, area = places(job, f"shown_to_{who}")
    for at in job.package.sheet(sheet).stored:
        if area.holds(*at) and isinstance(value := job.package.value(sheet, *at), float):
            # The page shows at most hundredths of money and thousandths of a quantity, whole for large sums.
            shown |= {round(abs(value), places) for places in range(4)}
    # What people typed may look like a price by chance.
    shown |= numbers("\n".join(TEXTS).encode())
    found: dict[float, str] = {}
    cells = [(name, *at) for name in OFFICE_SHEETS for at in job.package.sheet(name).stored]
    cells += [(entry.sheet, *corner(entry.cell)) for name, entry in job.inputs.items() if name in SHARES]
    for name, row, column in cells:
        value = job.package.value(name, row, column)
        if isinstance(value, float):
            for form in forms(abs(value)) - shown:
                found[form] = f"{name}!R{row}C{column}"
    return found


def corner(cell: str) -> tuple[int, int]:
    area = read_area(cell)
    assert area is not None
    return area.first_row, area.first_column


def spellings(text: str) -> set[str]:
    """A text as it might lie in a part: as typed, with entities, with escapes, with one space between words."""
    refs = "".join(sign if sign.isascii() else f"&#{ord(sign)};" for sign in html.escape(text))
    return {text, html.escape(text), html.escape(text, quote=False), refs, " ".join(text.split()), text.casefold()}


def leaks(data: bytes, texts: Iterable[str], secret: dict[float, str]) -> list[str]:
    """What of these texts and numbers is found in a copy, and in which part."""
    spelled = {spelling for text in texts for spelling in spellings(text) if spelling.strip()}
    found = []
    for part, held in contents(data):
        read = [text for reading in readings(held) for text in (reading, reading.casefold())]
        found += [f"{text!r} in {part}" for text in spelled if any(text in reading for reading in read)]
        found += [f"{number!r} of {secret[number]} in {part}" for number in numbers(held) & secret.keys()]
    return found


def test_the_search_finds_what_is_hidden_anywhere():
    out = io.BytesIO()
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("deep.xml", "<a>Vant</a><b>rel7</b>")
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("a.xml", "<v>1,234.5</v>")
        archive.writestr("b.bin", "Secret ü".encode("utf-16-le"))
        archive.writestr("c.xml", "<t>S&#248;n &amp; Co</t>")
        archive.writestr("d.xlsx", inner.getvalue())
        archive.comment = b"41.7319"
    found = leaks(
        out.getvalue(), ["Vantrel7", "Secret ü", "Søn & Co", "absent"], {1234.5: "a", 41.7319: "b", 9.9999: "c"}
    )
    assert {line.rpartition(" in ")[2] for line in found} == {
        "a.xml",
        "b.bin",
        "c.xml",
        "d.xlsx",
        "d.xlsx/deep.xml",
        "comment",
    }
    assert not any("absent" in line or "9.9999" in line for line in found)


def test_a_number_is_sought_as_it_might_be_shown():
    assert {0.213703, 21.3703, 21.37} - forms(0.213703) == {21.37}
    assert {12345.678, 12345.68, 12346.0} <= forms(12345.678)


def test_a_number_of_the_format_is_no_value_but_the_same_digits_elsewhere_are():
    assert numbers(b"<v>38.8</v><v>53.7</v>") == {38.8, 53.7}
    assert 138.853 in numbers(b"<si><r><t>138.</t></r><r><t>853</t></r></si>")
    part = b'<color rgb="FF163830"/><brk id="45678" max="16383" man="1"/>'
    assert numbers(part) == {45678.0, 1.0}
    assert 16383.0 in numbers(part + b"<v>16383</v>")
    assert 16384.0 in numbers(part.replace(b"16383", b"16384"))
    assert 16383.0 in numbers(part.replace(b"max", b"id"))
    assert 16383.0 in numbers(part.replace(b"brk", b"row"))


@pytest.mark.parametrize("number", range(JOBS))
def test_a_random_job_gives_nothing_away(number, tmp_path):
    chance = drawn(number)
    for _ in range(20):
        job, texts = random_job(chance)
        source = tmp_path / "job.xlsx"
        job.save(source, replace=True)
        before = source.read_bytes()
        try:
            copies = {who: share(source, tmp_path / f"{who}.xlsx", who, now=NOW, replace=True, draft=True) for who in ("client", "contractor")}  # fmt: skip
            break
        except WorkbookError as error:
            # Chance can draw a room that has no answer, or words without end; a copy that would have leaked is another
            # matter.
            assert "hold errors" in str(error) or "more lines than their rows show" in str(error), error
    assert source.read_bytes() == before
    hidden = {name: text for name, text in texts.items() if name.startswith("spare")}
    withheld = {"client": hidden, "contractor": hidden | {"client": texts["client"]}}
    for who, copy in copies.items():
        secret = withheld_numbers(job, who)
        assert len(secret) > 200
        if number == 0:
            assert len(leaks(before, withheld[who].values(), secret)) > 200, "the search finds what is in the source"
        data = copy.path.read_bytes()
        assert leaks(data, withheld[who].values(), secret) == []
        whole = " ".join(text for _, part in contents(data) for text in readings(part)).casefold()
        assert "still_" not in whole
        assert "not a certified design" in whole
    kept = Job.open(copies["client"].path).package
    held = {kept.value(sheet, *at) for sheet in kept.sheets for at in kept.sheet(sheet).stored}
    assert any(seen_signs(texts["client"]) in str(value) for value in held)
    assert not any(kept.sheet(sheet).formulas for sheet in kept.sheets)

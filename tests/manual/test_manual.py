"""The manual: all that there is stands in it, every link leads somewhere, and a search finds it without a network."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from lxml import html

from chromium import chromium
from hosts.required import missing
from stillbook import manual
from stillbook.catalogue import formulas
from stillbook.cautions import CAUTIONS
from stillbook.hosts.registry import HOSTS
from stillbook.manual.guides import from_markdown
from stillbook.templates.shipped import TEMPLATES
from stillbook.trade.mass.materials import materials
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.interface import interface


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return manual.write(tmp_path_factory.mktemp("shelf") / "manual").folder


@pytest.fixture(scope="module")
def pages(folder: Path) -> dict[str, Any]:
    """Each page by its name, as a browser reads it."""
    return {path.name: html.parse(str(path)).getroot() for path in folder.glob("*.html")}


def words(element: Any) -> str:
    return " ".join(element.text_content().split())


@pytest.mark.parametrize("entry", formulas().values(), ids=lambda entry: entry.name)
def test_every_formula_is_in_it(entry, pages):
    [place] = [found for page in pages.values() for found in page.iterfind(f".//article[@id='{entry.name}']")]
    said = words(place)
    for told in (entry.summary, entry.signature, entry.example.call, entry.source):
        assert " ".join(told.split()) in said
    for argument in entry.arguments:
        assert " ".join(argument.meaning.split()) in said
        assert argument.unit_for_both in said
    equation = [line for line in entry.notes.split("\n\n") if " = " in line]
    assert all(re.sub(r"\s*\[[^\]]*\]", "", " ".join(line.split())) in said for line in equation)
    assert "[kg" not in said


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda template: template.name)
def test_every_sheet_input_result_and_check_of_a_template_is_in_it(template, pages):
    page = pages[f"template-{template.name}.html"]
    said = words(page)
    job = Job.open(template.path("US"))
    package = job.package
    assert {words(cell) for cell in page.xpath("//h2[@id='sheets']/following::table[1]/tbody/tr/th")} == set(
        package.sheets
    )
    rows = {row.get("id"): row for row in page.iter("tr") if row.get("id")}
    alone = job.inputs.keys() - {name for column in job.columns.values() for name in column}
    assert alone | job.columns.keys() <= rows.keys()
    for name in alone:
        entry, shown = job.inputs[name], words(rows[name])
        assert name in shown
        assert " ".join(entry.spec.help.split()) in shown
        if entry.spec.takes_number and entry.spec.unit != "date":
            assert entry.spec.unit in shown
            limits = [limit for limit in (entry.spec.least, entry.spec.most) if limit is not None]
            assert all(f"{limit:.10g}" in shown for limit in limits)
    for spec, *_ in interface(package).results:
        assert spec.label in said
    for rule, *_, advice in (row for row in package.rows(*interface(package).checks) if row[0]):
        assert " ".join(rule.split()) in said
        assert " ".join(str(advice).split()) in said


def test_every_material_guide_and_caution_is_in_it(pages):
    listed = words(pages["materials.html"])
    assert all(material.name in listed for material in materials().values())
    for host in HOSTS.values():
        guide = words(pages[f"guide-{host.name}.html"])
        headings = re.findall(r"^#+ (.+)$", host.guide().read_text("utf-8"), re.MULTILINE)
        assert headings
        assert all(re.sub(r"[`*]", "", heading) in guide for heading in headings)
    assert all(" ".join(caution.split()) in words(pages["cautions.html"]) for caution in CAUTIONS)


def test_every_link_leads_somewhere_in_the_folder(folder, pages):
    ids = {name: {element.get("id") for element in page.iter() if element.get("id")} for name, page in pages.items()}
    wrong = []
    for name, page in pages.items():
        for _, attribute, target, _ in page.iterlinks():
            file, _, place = target.partition("#")
            if re.match(r"[a-z]+:|/", target) or not (folder / (file or name)).is_file():
                wrong.append(f"{name}: {attribute} {target}")
            elif place and place not in ids[file or name]:
                wrong.append(f"{name}: there is no place {target}")
    assert not wrong


def test_every_page_can_be_reached_and_is_whole(folder, pages):
    reached, ahead = set(), ["index.html"]
    while ahead:
        name = ahead.pop()
        if name not in reached:
            reached.add(name)
            ahead += [
                link.partition("#")[0] for link in pages[name].xpath("//main//a/@href") if not link.startswith("#")
            ]
    assert reached == pages.keys()
    for name, page in pages.items():
        ids = [element.get("id") for element in page.iter() if element.get("id")]
        assert len(ids) == len(set(ids)), name
        assert len(page.findall(".//h1")) == 1, name
        assert page.get("lang") == "en"
        levels = [int(element.tag[1]) for element in page.iter("h1", "h2", "h3")]
        assert all(after - before <= 1 for before, after in pairwise(levels)), name
        assert not page.xpath("//*[@style] | //*[@onclick]"), name


def test_nothing_in_it_asks_a_network(folder):
    for path in folder.iterdir():
        text = path.read_text("utf-8")
        asked = [
            *re.findall(r"""(?:src|href)=["']?https?:""", text),
            *re.findall(r"@import|url\(|fetch\(|^import ", text),
        ]
        assert not asked, path.name


def test_a_folder_that_holds_something_is_left_alone(tmp_path):
    mine = tmp_path / "mine"
    mine.mkdir()
    assert manual.write(mine).start.is_file()
    (there := tmp_path / "there").mkdir()
    (there / "note.txt").write_text("mine")
    (tmp_path / "file").write_text("mine")
    for place in (there, tmp_path / "file"):
        with pytest.raises(WorkbookError, match="it exists already: choose another name, or remove it first"):
            manual.write(place)
    assert [path.name for path in there.iterdir()] == ["note.txt"]
    with pytest.raises(WorkbookError, match="there is no folder"):
        manual.write(tmp_path / "gone" / "manual")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "mine", "there"]


def test_a_manual_that_cannot_be_written_whole_leaves_nothing(tmp_path, monkeypatch):
    written = []
    real = Path.write_text

    def full(path: Path, *arguments: Any, **options: Any) -> int:
        written.append(path.name)
        if len(written) == 5:
            raise OSError(28, "No space left on device")
        return real(path, *arguments, **options)

    monkeypatch.setattr(Path, "write_text", full)
    with pytest.raises(OSError, match="No space left"):
        manual.write(tmp_path / "manual")
    assert list(tmp_path.iterdir()) == []


def test_what_looks_like_an_element_in_a_guide_is_text():
    [paragraph] = from_markdown("A <script>alert(1)</script> & `a<b`")
    assert len(paragraph) == 1
    assert paragraph.text_content() == "A <script>alert(1)</script> & a<b"


# --- in a browser -----------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as running:
        yield running


class Reader:
    """A person who opens the manual from a disk, with what the browser complained about."""

    def __init__(self, page: Any, folder: Path) -> None:
        self.page = page
        self.folder = folder
        self.complaints: list[str] = []
        page.set_default_timeout(15_000)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", lambda message: self.complaints.append(message.text))
        page.on("requestfailed", lambda request: self.complaints.append(request.url))

    def open(self, name: str) -> Any:
        self.page.goto((self.folder / name).as_uri())
        return self.page

    def search(self, asked: str) -> list[str]:
        self.page.keyboard.press("/")
        self.page.get_by_label("Search the manual").fill(asked)
        return [" ".join(text.split()) for text in self.page.locator("#found a").all_inner_texts()]


@pytest.fixture
def reader(browser: Any, folder: Path) -> Iterator[Reader]:
    context = browser.new_context(offline=True, viewport={"width": 1000, "height": 800})
    reader = Reader(context.new_page(), folder)
    yield reader
    context.close()
    assert reader.complaints == []


FOUND = [
    ("DOORTARGETMASS", "STILL_DOORTARGETMASS"),
    ("still_ductround", "STILL_DUCTROUND"),
    ("weight of a door", "STILL_DOORMASS"),  # mass, by another word
    ("drywall", "Gypsum board"),
    ("plasterboard sheets", "STILL_SHEETS"),
    ("caulk", "STILL_SEALANTTUBES"),
    ("fresh air people", "STILL_OCCUPANTAIRFLOW"),
    ("profit", "margin"),
    ("soundproofing wall", "STILL_WALLTL"),
    ("room length", "room_length"),
    ("co2 at the end of the longest session", "CO2 at the end of the longest session"),
    ("booth", "booth-estimate"),
    ("libreoffice", "libreoffice"),
]


@pytest.mark.host
def test_a_search_finds_by_the_words_of_the_trade(reader):
    reader.open("index.html")
    for asked, found in FOUND:
        first = reader.search(asked)[:8]
        assert any(text.startswith(found) for text in first), (asked, first)


@pytest.mark.host
def test_a_search_is_all_by_keys_and_ends(reader):
    page = reader.open("formulas.html")
    assert reader.search("target mass of a door")
    assert page.locator("#content").is_hidden()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    asked = page.evaluate("document.activeElement.getAttribute('href')")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/{asked}")
    assert page.locator(":target").is_visible()
    assert reader.search("zzzz qqqq") == []
    assert "Nothing found" in page.locator("#count").inner_text()
    page.keyboard.press("Escape")
    assert page.locator("#content").is_visible()
    assert page.get_by_label("Search the manual").input_value() == ""


@pytest.mark.host
def test_a_place_on_the_same_page_is_found_again(reader):
    page = reader.open("formulas-doors.html")
    reader.search("DOORTARGETMASS")
    page.keyboard.press("Enter")
    page.wait_for_url("**#DOORTARGETMASS")
    assert page.locator("#DOORTARGETMASS").is_visible()
    assert page.evaluate("document.getElementById('DOORTARGETMASS').getBoundingClientRect().top") < 100


@pytest.mark.host
def test_a_browser_reads_each_page_as_it_was_written(folder, pages, reader):
    """Its parser moves no element: each stands where HTML allows it."""
    walk = "[...document.querySelectorAll('*')].map((each) => each.localName + '#' + each.id).join(' ')"
    for name in pages:
        page = reader.open(name)
        page.wait_for_load_state("networkidle")  # the next page would break off what is still on its way
        page.evaluate("document.getElementById('found').previousElementSibling.remove()")  # what the script put there
        written = html.document_fromstring((folder / name).read_text("utf-8"))
        elements = [f"{each.tag}#{each.get('id', '')}" for each in written.iter() if isinstance(each.tag, str)]
        assert page.evaluate(walk).split() == elements, name
        assert page.evaluate("document.compatMode") == "CSS1Compat"


@pytest.mark.host
@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1200, "light")])
def test_it_keeps_the_rules_of_accessibility(width, scheme, browser, folder):
    try:
        from axe_playwright_python.sync_playwright import Axe
    except ImportError:
        missing("axe-playwright-python is not installed: it brings axe-core")
    context = browser.new_context(viewport={"width": width, "height": 700}, color_scheme=scheme)
    reader = Reader(context.new_page(), folder)
    rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    # Every rule is run; what passes is not described place by place, which would take as long again.
    options = {"runOnly": rules, "resultTypes": ["violations"]}
    faults = []
    for name in (
        "index",
        "formulas",
        "formulas-doors",
        "template-door-schedule",
        "materials",
        "guide-excel",
        "cautions",
    ):
        page = reader.open(f"{name}.html")
        if name == "index":
            reader.search("door")
        for rule in Axe().run(page, options=options).response["violations"]:
            faults += [f"{name}: {rule['id']}: {node['target']}" for node in rule["nodes"][:3]]
    context.close()
    assert not faults


@pytest.mark.host
def test_on_paper_there_is_no_search_and_nothing_is_cut_off(reader):
    reader.page.emulate_media(media="print")
    reader.page.set_viewport_size({"width": 700, "height": 1000})
    for name in ("formulas-doors.html", "template-booth-estimate.html", "materials.html"):
        page = reader.open(name)
        assert page.locator("#search").is_hidden()
        assert page.locator("nav").first.is_hidden()
        assert page.evaluate("document.documentElement.scrollWidth") <= 700, name

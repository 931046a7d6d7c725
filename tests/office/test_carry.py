"""A job on a newer template: inputs find their homes, and nothing is dropped in silence."""

import io

import openpyxl
import pytest
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image
from openpyxl.workbook.defined_name import DefinedName

from stillbook.office.carry import carry
from stillbook.templates.demo import values as demo_values
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from workbook import books, jobs

NEWER = (
    InputSpec("margin", "Share of the price.", "share", 0, 0.3, 0.25),
    InputSpec("Client", "Name.", "text"),
    InputSpec("wall_area", "Walls.", "m²", 0.1, 900, 30),
    InputSpec("doors", "Doors.", "", 0, 9, 2, whole=True),
    InputSpec("crew", "Crew.", "people", 1, 9, 2),
)
"""A template in which inputs moved, one changed its unit, one its limits, one is gone and one is new; two sheets have
another name."""


@pytest.fixture
def old(tmp_path):
    prices = (*jobs.PRICES, ("HOOK", "Hook", "piece", 3, "Doors", 9), ("BOLT", "Bolt", "piece", 1, "Doors", 9))
    made = jobs.estimate(prices=prices)
    made["Prices"]["D3"] = 6.4
    made["Price"]["C4"] = 7
    made["Price"]["M1"] = "Ask about the stairs"
    made["Price"]["M2"] = "=B9*1.1"
    made["Prices"]["B2"].comment = Comment("Price of last year", "Estimator")
    made.create_sheet("Photos")["A1"] = "stairs"
    made["Inputs"].add_image(Image(io.BytesIO(books.png())), "D4")
    made.defined_names.add(DefinedName("own_name", attr_text="Price!$M$1"))
    return jobs.saved(
        made, tmp_path / "old.xlsx", {"client": "Old client", "wall_area": 640, "margin": 0.5, "sent": "2026-03-02"}
    )


@pytest.fixture
def newer(tmp_path):
    path = tmp_path / "newer.xlsx"
    path.write_bytes(books.saved(jobs.estimate(inputs=NEWER, spare=1, costs="Unit costs", price="Job price")))
    return path


@pytest.fixture
def moved(old, newer, tmp_path):
    before = old.read_bytes()
    found = carry(old, newer, tmp_path / "new.xlsx")
    assert old.read_bytes() == before
    return found, Job.open(tmp_path / "new.xlsx")


def test_every_input_with_a_home_is_carried(moved):
    found, job = moved
    held = {name: entry.value for name, entry in job.inputs.items()}
    # 640 ft² × 0.09290304 m²/ft² (definition of the foot).
    assert held == {
        "margin": 0.25,
        "Client": "Old client",
        "wall_area": pytest.approx(59.4579456),
        "doors": 1.0,
        "crew": 2.0,
    }
    assert [(c.name, c.note) for c in found.carried if c.kind == "input"] == [("Client", ""), ("wall_area", "was 640 ft²"), ("doors", "")]  # fmt: skip
    assert found.new_inputs == {"crew": 2.0}


LEFT = [
    ("input", "margin (Inputs!B4)", "0.5", "the template does not take it: margin is 0.5 share: give 0 to 0.3 share"),
    ("input", "sent (Inputs!B5)", "46083", "the template has no such input"),
    ("price", "BOLT", "BOLT, Bolt, piece, 1, Doors, 9", "the template has no row for it, and no blank one"),
    ("typed over", "Price!C4", "7", "typed over a formula of the template"),
    ("cell", "Price!M1", "Ask about the stairs", "the template has no such content"),
    ("formula", "Price!M2", "=B9*1.1", "the template has no such formula"),
    ("sheet", "Photos", "1 filled cells", "the template has no such sheet"),
    ("drawing", "Inputs", "1 × a picture", "the template has fewer there"),
    ("note", "Prices!B2", "Price of last year", "notes on cells are not carried"),
    ("name", "own_name", "Price!$M$1", "the template has no such name"),
]


@pytest.mark.parametrize(("kind", "place", "content", "reason"), LEFT)
def test_all_else_is_listed(moved, kind, place, content, reason):
    found, _ = moved
    assert (kind, place, content, reason) in [(x.kind, x.place, x.content, x.reason) for x in found.left]


def test_nothing_else_is_listed(moved):
    found, _ = moved
    listed = {(x.kind, x.place) for x in found.left}
    # The label of the input that is gone stands in no cell of the template either.
    assert listed == {(kind, place) for kind, place, *_ in LEFT} | {("cell", "Inputs!A1"), ("cell", "Inputs!A5")}


def test_prices_are_carried_by_code_into_their_rows_and_blank_ones(moved):
    found, job = moved
    prices = {
        row[0]: row[3] for row in openpyxl.load_workbook(job.path)["Unit costs"].iter_rows(min_row=2, values_only=True)
    }
    assert prices == {"BOARD": 19, "STUD": 6.4, "DOOR": 210, "HOOK": 3}
    carried = {c.name: c.note for c in found.carried if c.kind == "price"}
    assert carried["STUD"] == "price_costs was 5.2"
    assert set(carried) == {"STUD", "HOOK"}


def test_results_that_moved_are_told(moved):
    found, _ = moved
    assert "price" in [d.name for d in found.results]


def test_an_input_worked_out_in_its_cell_is_carried_as_its_value(tmp_path, newer):
    made = jobs.estimate()
    made["Inputs"]["B3"] = "=1+2"
    path = jobs.saved(made, tmp_path / "old.xlsx")
    found = carry(path, newer, tmp_path / "new.xlsx")
    assert Job.open(tmp_path / "new.xlsx").inputs["doors"].value == 3
    assert ("Inputs!B3", "=1+2") in [(x.place, x.content) for x in found.left if x.kind == "formula"]


def test_with_the_old_template_only_what_the_estimator_added_is_listed(tmp_path, old, newer):
    origin = tmp_path / "origin.xlsx"
    made = jobs.estimate()
    made["Price"]["M2"] = "=B9*1.1"
    origin.write_bytes(books.saved(made))
    found = carry(old, newer, tmp_path / "new.xlsx", origin=origin)
    places = {x.place for x in found.left}
    assert "Price!M2" not in places
    assert "Inputs!A5" not in places
    assert "Price!M1" in places


def test_a_price_for_another_unit_is_not_carried(tmp_path, newer):
    prices = (("BOARD", "Gypsum board", "m²", 6.5, "Shell", 2), *jobs.PRICES[1:])
    path = jobs.saved(jobs.estimate(prices=prices), tmp_path / "old.xlsx")
    found = carry(path, newer, tmp_path / "new.xlsx")
    assert [x.reason for x in found.left if x.kind == "price"] == ["the template counts sheet, not m²"]


def test_files_that_stand_there_are_kept(tmp_path, old, newer):
    with pytest.raises(WorkbookError, match="one of the workbooks read"):
        carry(old, newer, old, replace=True)
    (tmp_path / "new.xlsx").write_bytes(b"kept")
    with pytest.raises(WorkbookError, match="it exists already"):
        carry(old, newer, tmp_path / "new.xlsx")
    assert (tmp_path / "new.xlsx").read_bytes() == b"kept"


def test_the_booth_estimate_moves_onto_itself_without_a_change(tmp_path):
    job = Job.open(template("booth-estimate").path("US"))
    job.set(demo_values())
    job.save(tmp_path / "old.xlsx")
    found = carry(tmp_path / "old.xlsx", template("booth-estimate").path("US"), tmp_path / "new.xlsx")
    assert found.left == ()
    assert found.results == ()
    assert found.new_inputs == {}


def test_the_booth_estimate_moves_from_one_unit_system_to_the_other(tmp_path):
    job = Job.open(template("booth-estimate").path("US"))
    job.set({**demo_values(), "room_length": "10 ft"})
    job.save(tmp_path / "old.xlsx")
    found = carry(tmp_path / "old.xlsx", template("booth-estimate").path("SI"), tmp_path / "new.xlsx")
    assert Job.open(tmp_path / "new.xlsx").inputs["room_length"].value == pytest.approx(3.048)
    assert not [x for x in found.left if x.kind == "sheet"]


BARE = [
    # the layer, what is typed for it in the old job, what the list says to type
    ("inner_material_1", "2.5 lb/ft²", "OSB 3/4 in, MDF 18 mm or Gypsum board 5/8 in type X"),
    ("inner_material_2", "12 kg/m²", "OSB 3/4 in, Gypsum board 5/8 in type X or Plywood 3/4 in"),
    ("inner_material_3", 3.0, "MDF 3/4 in, Particleboard 3/4 in or MDF 18 mm"),
]


@pytest.fixture(scope="module")
def bare(tmp_path_factory):
    """A job with layers by their mass alone on the same template: what was told of it, and the new job."""
    folder = tmp_path_factory.mktemp("bare")
    shipped = template("booth-estimate").path("US")
    job = Job.open(shipped)
    job.set({**{name: typed for name, typed, _ in BARE}, "outer_material_1": "1 lb/ft²"})
    job.save(folder / "old.xlsx")
    return carry(folder / "old.xlsx", shipped, folder / "new.xlsx", origin=shipped), Job.open(folder / "new.xlsx")


@pytest.mark.parametrize(("name", "typed", "sheets"), BARE)
def test_a_leaf_by_its_mass_alone_is_carried_with_what_to_type(name, typed, sheets, bare):
    """A mass alone says nothing of a board's stiffness, and isolation of such a leaf is an error."""
    found, new = bare
    told = [left for left in found.left if left.kind == "input"]
    assert len(told) == len(BARE), "of a limp sheet the mass is enough"
    reasons = [left.reason for left in told if left.place.startswith(f"{name} (")]
    assert [reason.partition("type the sheet's name there, such as ")[2] for reason in reasons] == [sheets]
    assert new.inputs[name].value == typed

"""A conversion of an earlier version, its walls as found typed layer by layer, on the template that names them."""

from functools import cache

import openpyxl
import pytest

from stillbook.cells import ErrorValue
from stillbook.office.carry import carry, take_over
from stillbook.quantities import SYSTEMS
from stillbook.templates.shipped import template
from stillbook.workbook.job.estimate import Job
from templates.columns import named

PLACES = ("wall", "ceiling")
LEAVES = tuple(f"{place}_{side}" for place in PLACES for side in ("far", "near"))
CAVITY = ("gap", "fill", "framing", "spacing")


def older(path, system):
    """The template as it was before: it asks no name, has no list, and takes each layer from where it is typed."""
    book = openpyxl.load_workbook(template("room-conversion").path(system))
    names = book.defined_names

    def cell(name):
        sheet, _, at = names[name].attr_text.rpartition("!")
        return book[sheet.strip("'")][at.replace("$", "")]

    for leaf in LEAVES:
        for layer in (1, 2, 3):
            for now, once in (("board", "material"), ("thick", "thickness"), ("sheets", "count")):
                typed = f"{leaf}_{once}_{layer}"
                cell(f"{leaf}_{now}_{layer}").value = f'=IF({typed}="","",{typed})'
    for place in PLACES:
        for part in CAVITY:
            cell(f"{place}_found_{part}").value = f"={place}_{part}"
        for part in ("stands", "called"):
            cell(f"{place}_found_{part}").value = '="typed"'
        cell(f"{place}_found").value = None
    for sheet in book.worksheets:
        rules = sheet.data_validations
        rules.dataValidation = [rule for rule in rules.dataValidation if rule.formula1 != "found_names"]
        for row in sheet.iter_rows():
            for found in row:
                if isinstance(found.value, str) and "found_names" in found.value:
                    found.value = None
    for name in [name for name in names if name.startswith("found_") or name in ("wall_found", "ceiling_found")]:
        del names[name]
    book.save(path)
    return path


BOARDS = {"US": ("Gypsum board 1/2 in", "Plywood 3/4 in"), "SI": ("Gypsum board 12.5 mm", "MDF 18 mm")}
DEEP = {"US": (3.5, 16, 9.25), "SI": (89, 400, 235)}


def typed(system, **changes):
    """What the earlier version held as shipped, and what a job changed of it."""
    (board, floor), (gap, spacing, over) = BOARDS[system], DEEP[system]
    held = {
        **{f"{leaf}_material_1": board for leaf in ("wall_far", "wall_near", "ceiling_near")},
        "ceiling_far_material_1": floor,
        **{f"{leaf}_count_1": 1 for leaf in LEAVES},
        **{"wall_gap": gap, "wall_fill": "empty", "wall_framing": "wood studs", "wall_spacing": spacing},
        **{"ceiling_gap": over, "ceiling_fill": "empty", "ceiling_framing": "resilient channels"},
        "ceiling_spacing": spacing,
    }
    return {**held, **changes}


def errors_kept(package):
    """The cells of a workbook, calculated as it was saved, that are errors."""
    cells = [(sheet, *at) for sheet in package.sheets for at in package.sheet(sheet).stored]
    return [cell for cell in cells if isinstance(package.value(*cell), ErrorValue)]


BARE = {"wall_near_material_1": None, "wall_near_count_1": None}
JOBS = {
    "as shipped": {},
    "walls and ceiling of one leaf": {
        **BARE,
        "wall_far_material_1": "Clay brick 4 in",
        **{"ceiling_near_material_1": None, "ceiling_near_count_1": None, "ceiling_far_material_1": "Concrete 6 in"},
    },
    "a far leaf of two layers, a near one without its count, another cavity": {
        **{"wall_far_material_2": "Gypsum plaster with sand", "wall_far_thickness_2": "0.5 in", "wall_far_count_2": 1},
        **{"wall_near_count_1": None, "wall_fill": "filled", "wall_framing": "steel studs", "wall_board": "stays"},
    },
}
ALIKE = ("price", "room_stc", "stc_range", "cavity", "ceiling_cavity", "wall_leaves", "ceiling_leaves", "floor_load")
ALIKE += (
    "wall_far_mass",
    "wall_near_mass",
    "ceiling_far_mass",
    "outer_mass",
    "nc_all",
    "least_low_gain",
    "room_length",
)


@pytest.fixture(scope="module", params=SYSTEMS)
def before(request, tmp_path_factory):
    """The unit system, and a function that gives each of the jobs on the earlier version, saved."""
    folder = tmp_path_factory.mktemp("older")
    path = older(folder / "older.xlsx", request.param)

    @cache
    def saved(name):
        job = Job.open(path)
        assert "wall_found" not in job.inputs
        job.set(typed(request.param, **JOBS[name]))
        job.save(folder / f"{len(list(folder.iterdir()))}.xlsx")
        return job

    return request.param, saved


@pytest.mark.parametrize("which", JOBS)
def test_a_carried_job_keeps_what_it_has_typed(before, tmp_path, which):
    system, saved = before
    job = saved(which)
    found = carry(job.path, template("room-conversion").path(system), tmp_path / "new.xlsx")
    new = Job.open(tmp_path / "new.xlsx")
    assert errors_kept(new.package) == []
    assert (new.inputs["wall_found"].value, new.inputs["ceiling_found"].value) == (None, None)
    assert {name: found.new_inputs[name] for name in ("wall_found", "ceiling_found")} == dict.fromkeys(
        ("wall_found", "ceiling_found")
    )
    was, now = named(job), named(new)
    for name in typed(system, **JOBS[which]):
        assert (new.inputs[name].value or None) == (job.inputs[name].value or None), name
    for name in ALIKE:
        assert now[name] == pytest.approx(was[name], rel=1e-12), name
    assert now["wall_found_stands"] == "own layers"
    assert now["wall_leaves"] == (2 if now["wall_near_board_1"] == "" or now["wall_open"] == 1 else 3)
    assert found.results == ()


def test_the_next_clients_job_takes_the_typed_layers_over(before, tmp_path):
    system, saved = before
    target = Job.open(template("room-conversion").path(system))
    take_over(saved("walls and ceiling of one leaf"), target)
    target.calculate()
    assert target.inputs["wall_found"].value is None
    assert named(target)["wall_near_board_1"] == ""


def test_a_name_is_carried_with_the_list_it_is_in(tmp_path):
    shipped = template("room-conversion").path("US")
    job = Job.open(shipped)
    job.set({"found_names_15": "Own block", "found_far_material_1_15": "Concrete 4 in", "wall_found": "Own block"})
    job.save(tmp_path / "old.xlsx")
    carry(tmp_path / "old.xlsx", shipped, tmp_path / "new.xlsx")
    new = Job.open(tmp_path / "new.xlsx")
    assert new.inputs["wall_found"].value == "Own block"
    assert named(new)["wall_found_stands"] == "as chosen"
    assert named(new)["price"] == named(job)["price"]

"""``stillbook set``: inputs of an existing job."""

from pathlib import Path

import pytest

from cli.command_line import shipped
from stillbook.workbook.job.estimate import Job


def test_inputs_of_a_job_are_changed_in_place(small, run):
    Path("more.toml").write_text('door = "single"\ndoors = 2\n', "utf-8")
    code, out, err = run("set", small, "doors=3", "surface_mass=9 kg/m²", "--inputs", "more.toml")
    assert (code, err) == (0, "")
    held = {name: entry.value for name, entry in Job.open(small).inputs.items()}
    # 9 kg/m² in lb/ft²: NIST Special Publication 811
    assert (held["door"], held["doors"], held["surface_mass"]) == ("single", 3, pytest.approx(1.84335, rel=1e-5))
    assert "Mass of all" in out


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ([], "name an input and its value, such as people=3"),
        (["doors"], '"doors": write name=value, such as people=3'),
        (["doors=3", "DOORS=4"], "the values: DOORS is given twice"),
        (["doors=99", "client=New"], "doors is 99 doors: give a whole number from 1 to 40 doors"),
        (["windows=1"], "there is no input windows"),
        (["doors=2", "client="], "client may not be blank"),
    ],
)
def test_what_cannot_be_set_leaves_the_job_as_it_was(settings, said, small, refused):
    before = Path(small).read_bytes()
    assert said in refused("set", small, *settings)
    assert Path(small).read_bytes() == before


def test_a_load_given_as_a_pressure_is_told_as_a_mass(run):
    shipped("booth-estimate", "booth.xlsx", "SI")
    out = run("set", "booth.xlsx", "floor_capacity=5 kN/m²")[1]
    said = " ".join(out.split())
    assert "is read as 509.86 kg/m², the mass whose weight it is under standard gravity" in said
    assert Job.open("booth.xlsx").inputs["floor_capacity"].value == pytest.approx(5000 / 9.80665)

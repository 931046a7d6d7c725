"""``demo``: an estimate for an invented client."""

from pathlib import Path

from stillbook.workbook.job.estimate import Job


def test_the_demo_is_made_priced_and_found(run, here):
    code, out, err = run("demo")
    job = Job.open("demo-estimate.xlsx")
    report = job.calculate()
    assert (code, err) == (0, "")
    assert str(here / "demo-estimate.xlsx") in out
    assert "Price" in out
    assert (report.errors, report.missing, report.failed) == ((), (), ())
    assert "invented" in job.inputs["client"].value


def test_the_demo_never_takes_the_place_of_a_file(run):
    Path("demo-estimate.xlsx").write_bytes(b"mine")
    code, out, _ = run("demo", "--units", "SI")
    assert code == 0
    assert "demo-estimate.xlsx is here already and stays as it is" in out
    assert Path("demo-estimate.xlsx").read_bytes() == b"mine"
    assert Job.open("demo-estimate-2.xlsx").inputs["room_length"].spec.unit == "m"

"""What was measured: read with its units, in words that are misspelt, and never what cannot have been measured.

Limits are facts of physics and of the trade (common practice, no source, where nothing else is said).
"""

import pytest

from stillbook.office.actuals.limits import limits_of, scale_of
from stillbook.office.actuals.measured import beside_predictions, read_measured
from stillbook.templates.shipped import TEMPLATES, template
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job


@pytest.fixture(scope="module")
def booth():
    """The booth in SI, whose example takes 14.2 L/s."""
    job = Job.open(template("booth-estimate").path("SI"))
    return job, job.calculate().results


def measured(booth, tmp_path, *rows, mark=","):
    job, results = booth
    path = tmp_path / "room.csv"
    path.write_text("\n".join((mark.join(("what", "band", "value")), *rows, "")))
    return beside_predictions(read_measured(path, job), job, results)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("airflow,,3600", "airflow 3600 L/s cannot be: it lies from 0 to 142 L/s, 10 times what the job predicts"),
        ("airflow,,-3", "airflow -3 L/s cannot be: it lies from 0"),
        ("airflow,,1 m3/s", "airflow 1000 L/s cannot be"),
        ('"DnT,w",,520', "DnT,w 520 cannot be: it lies from 0 to 120: check the figure"),
        ("STC,,-1", "STC -1 cannot be: it lies from 0 to 120"),
        ("NIC,,121", "NIC 121 cannot be"),
        ("noise at the seat,,-5", "noise at the seat -5 cannot be: it lies from 0 to 130"),
        ("nc_inside,,400", "nc_inside 400 cannot be"),
        ("level at the seat,125,400", "level at the seat 400 dB cannot be: it lies from -20 to 194 dB"),
        ("level difference,125,-44", "level difference -44 dB cannot be"),
        ("level outside,125,1000", "level outside 1000 dB cannot be"),
        ("background inside,125,-90", "background inside -90 dB cannot be"),
        ("reverberation time,125,500", "reverberation time 500 s cannot be: it lies from 0.02 to 20 s"),
        # 400 ppm and more outdoors; 40 000 ppm are immediately dangerous to life (NIOSH, from memory).
        ("CO2,,3", "CO2 3 ppm cannot be: it lies from 250 to 40000 ppm"),
        ("CO2,,135000", "CO2 135000 ppm cannot be"),
        ("fan_speed,,51", "fan_speed 51 of full cannot be: it lies from 0 to 1 of full"),
        ("path_loss,,2900", "path_loss 2900 Pa cannot be"),
        ("price,,-40000", "price -40000 EUR cannot be"),
        ("outside_length,,2926", "outside_length 2926 m cannot be"),
    ],
)
def test_what_cannot_have_been_measured_is_refused(booth, tmp_path, row, told):
    with pytest.raises(WorkbookError, match=r"room\.csv, line 2: ") as refused:
        measured(booth, tmp_path, row)
    assert told.casefold() in str(refused.value).casefold()
    assert "check the figure" in str(refused.value)


@pytest.mark.parametrize(
    ("row", "value"),
    [
        ("airflow,,35 L/s", 35),
        ("airflow,,36 m3/h", 10),
        # 0.47194745 L/s each, exact.
        ("airflow,,20 cfm", 9.438949),
        ("level difference,125 Hz,44 dB", 44),
        ('"DnT,w",,52 dB', 52),
        ("STC,,STC 52", None),
        ("STC,,52 STC", 52),
        ("noise at the seat,,27 NC", 27),
        ("CO2,,1350 ppm", 1350),
        ("duct_round,,0.25 m", 250),
        ("price,,40000 EUR", 40000),
        ("longest_time,,0.3 s", 0.3),
        ("level at the seat,4000,-4", -4),
    ],
)
def test_a_figure_may_carry_its_unit(booth, tmp_path, row, value):
    if value is None:
        with pytest.raises(WorkbookError, match=r'line 2: value "STC 52" is not understood: write it as 1234\.50'):
            measured(booth, tmp_path, row)
    else:
        assert measured(booth, tmp_path, row)[0].value == pytest.approx(value, abs=1e-6)


def test_a_decimal_comma_may_carry_its_unit_where_semicolons_part(booth, tmp_path):
    assert measured(booth, tmp_path, "airflow;;35,5 L/s", mark=";")[0].value == 35.5


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("airflow,,35 kg", '"35 kg" is a mass where a quantity in L/s is needed (L/s)'),
        ("airflow,,a lot", '"a lot" is not understood as a quantity in L/s'),
        ("noise at the seat,,27 dB", 'value "27 dB" is not understood: write it as 1234.50'),
        (
            'airflow,,"1,23 L/s"',
            'value "1,23 L/s" is not understood: write it as 1234.50, or with its unit, as 1234.50 L/s',
        ),
        ("fan_speed,,51 %", 'value "51 %" is not understood: write it as 1234.50, in of full'),
        ("DnTw,,52", 'the job predicts no "DnTw": did you mean "DnT,w"'),
        # What a comma in its name does where nothing quotes it.
        ("DnT,w,,52", 'the job predicts no "DnT": did you mean "DnT,w"'),
        ("air flow,,36", 'the job predicts no "air flow": did you mean "airflow"'),
        ("level diference,125,44", 'the job predicts no "level diference": did you mean "level difference"'),
        ("loudness,,44", 'the job predicts no "loudness": give level difference'),
        ("airflow,125,36", "give a band for level difference or level at the seat alone, none for airflow"),
        ("reverberation time,500", "the value of reverberation time is blank: write it, or leave the row out"),
        (
            "reverberation time,500,0.42",
            "reverberation time: what is there of reverberation time gives no rating: for NIC",
        ),
    ],
)
def test_what_is_not_understood_is_named_with_its_line(booth, tmp_path, row, told):
    with pytest.raises(WorkbookError, match=r"room\.csv, line 3") as refused:
        measured(booth, tmp_path, "CO2,,1350", row)
    assert told in str(refused.value)


@pytest.mark.parametrize("name", [entry.name for entry in TEMPLATES])
def test_no_result_is_predicted_beyond_what_can_be_measured_of_it(name):
    """Each figure that a template predicts is one that can be measured; NC, STC and the like are known by their scale."""
    job = Job.open(template(name).path("US"))
    figures = {result.name: result.value for result in job.calculate().results}
    for spec in job.results.values():
        value = figures[spec.name]
        if isinstance(value, int | float):
            assert limits_of(spec).hold("here", spec.name, value) == value
        if spec.label.endswith((" NC", " STC", " NIC", " DnT,w")):
            assert scale_of(spec), spec

"""How results become cells: each form with its cells, unit, headings and words, and what readers tell of themselves."""

import numpy as np
import pytest

from stillbook.cells import Code, ErrorValue, OutOfRange
from stillbook.quantities import COUNT, LENGTH, LEVEL, MASS, SHARE
from stillbook.readers import Anything, Choice, Columns, Few, Quantity, Text, Vector
from stillbook.results import Number, Numbers, SideBySide, UnderHeadings, Words

NO_ANSWER = "none: give another"
NOTHING = ErrorValue(Code.NUMBER, NO_ANSWER)
DOOR = SideBySide(("Door", MASS), ("Layers", COUNT), ("Why", None))
LIST = UnderHeadings(("Sheet", None), ("Thickness", LENGTH))

WRITTEN = [
    (Number(LENGTH), 0.0254, "US", 1.0),
    (Number(LENGTH), 0.0254, "SI", 25.4),
    (Number(LENGTH), np.array([0.0254, np.nan]), "US", [[1.0, NOTHING]]),
    (Number(LENGTH), np.array([[0.0254], [0.0508]]), "US", [[1.0], [2.0]]),
    (Number(SHARE), 0.1 + 0.2, "US", 0.3),
    (Numbers(LEVEL), [30, 40.5], "US", [[30.0, 40.5]]),
    (Numbers(LENGTH), [0.0254, np.inf], "US", [[1.0, NOTHING]]),
    (Words(), "as it is", "US", "as it is"),
    (DOOR, (1.0, 2, "heavy"), "SI", [[1.0, 2.0, "heavy"]]),
    (DOOR, (1.0, None), "SI", [[1.0, ""]]),
    (DOOR, (1.0,), "SI", 1.0),
    (LIST, [("ply", 0.0254), ("mat", None)], "US", [["Sheet", "Thickness (in)"], ["ply", 1.0], ["mat", ""]]),
    (LIST, [], "SI", [["Sheet", "Thickness (mm)"]]),
]


@pytest.mark.parametrize(("form", "answer", "system", "cells"), WRITTEN)
def test_an_answer_becomes_cells(form, answer, system, cells):
    assert form.write(answer, system, NO_ANSWER) == cells


def test_a_number_that_is_not_finite_is_refused_with_the_reason():
    with pytest.raises(OutOfRange, match=NO_ANSWER):
        Number(LENGTH).write(np.nan, "US", NO_ANSWER)
    assert LIST.write([("ply", np.nan)], "US", NO_ANSWER)[1][1].code is Code.NUMBER


TOLD = [
    (Number(LENGTH), "in", [], "a number in in", False, True),
    (Number(COUNT), "", [], "a number", False, False),
    (Numbers(LEVEL), "dB", [], "a row of numbers in dB", False, False),
    (Words(), "", [], "text", True, False),
    (
        *(DOOR, "lb", ["Door (lb)", "Layers", "Why"]),
        *("cells side by side: Door, Layers, Why; the first in lb", False, True),
    ),
    (SideBySide(("Way", None)), "", ["Way"], "cells side by side: Way", True, False),
    (LIST, "", ["Sheet", "Thickness (in)"], "rows under headings: Sheet, Thickness", False, True),
]


@pytest.mark.parametrize(("form", "unit", "headings", "said", "is_text", "dimensional"), TOLD)
def test_what_a_form_tells_of_itself(form, unit, headings, said, is_text, dimensional):
    assert (form.unit("US"), form.headings("US"), form.said(unit)) == (unit, headings, said)
    assert (form.is_text, form.dimensional) == (is_text, dimensional)


INCHES = Quantity(LENGTH)

READERS = [
    (INCHES, 0.0254, "number", LENGTH, 1.0, "1 in", 'give a length in in, or text with a unit such as "1 mm"'),
    (Choice("loose", "glued"), "loose", "choice", None, "loose", "loose", 'give one of "loose", "glued"'),
    (Text(), "ply", "text", None, "ply", "ply", "give text"),
    (Vector(INCHES), (1, 2), "cells", LENGTH, None, "(1, 2)", "give in, a row or column"),
    (Few(INCHES, 2), (1, 2), "cells", LENGTH, None, "(1, 2)", "give in, one value or a range of up to 2"),
    (Columns(("airflow", INCHES)), (), "cells", None, None, "()", "give rows of airflow (in)"),
    (Anything(), "x", "any", None, "x", "x", "give any"),
]


@pytest.mark.parametrize(("reader", "value", "form", "kind", "bare", "shown", "needed"), READERS)
def test_what_a_reader_tells_of_itself(reader, value, form, kind, bare, shown, needed):
    assert (reader.form, reader.numbers_of, reader.needed("US")) == (form, kind, needed)
    assert (reader.bare(value, "US"), reader.shown(value, "US")) == (bare, shown)


def test_only_ranges_that_spread_shape_an_answer():
    readers = (INCHES, Choice("loose"), Few(INCHES, 2), Anything(), Vector(INCHES), Columns(("airflow", INCHES)))
    assert [reader.shapes_answer for reader in readers] == [True, True, True, True, False, False]

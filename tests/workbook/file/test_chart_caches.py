"""What charts remember: written where a cell has become another, and every other byte of the chart as it was."""

import pytest

from stillbook.cells import Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.chart_caches import with_caches

VALUES = {
    "S!$A$1:$A$3": [1.0, None, 0.1 + 0.2],
    "S!$B$1": ["Fan < 3"],
    "S!$C$1:$C$3": ["wool", True, 125.0],
    "S!$D$1:$D$2": [ErrorValue(Code.NOT_AVAILABLE), ""],
}
"""What the cells of a reference hold."""


def chart(inner: str, prefix: str = "c:") -> bytes:
    space = 'xmlns:c="http://schemas.openxmlformats.org/drawingml/2006/chart"' if prefix else 'xmlns="x"'
    return f"<?xml version='1.0'?>\n<{prefix}chartSpace {space}>{inner}<!-- mine --></{prefix}chartSpace>".encode()


def numbers(*values: str, code: str = "General", count: int = 3) -> str:
    points = "".join(f'<c:pt idx="{n}"><c:v>{v}</c:v></c:pt>' for n, v in enumerate(values) if v)
    return f'<c:numCache><c:formatCode>{code}</c:formatCode><c:ptCount val="{count}"/>{points}</c:numCache>'


def words(*values: str) -> str:
    points = "".join(f'<c:pt idx="{n}"><c:v>{v}</c:v></c:pt>' for n, v in enumerate(values) if v)
    return f'<c:strCache><c:ptCount val="{len(values)}"/>{points}</c:strCache>'


REMEMBERED = [
    # nothing remembered yet; a blank is no point
    ("<c:numRef><c:f>S!$A$1:$A$3</c:f>{}</c:numRef>", "", numbers("1", "", "0.30000000000000004")),
    ("<c:strRef><c:f>S!$B$1</c:f>{}</c:strRef>", "", words("Fan &lt; 3")),
    ("<c:strRef><c:f>S!$C$1:$C$3</c:f>{}</c:strRef>", "", words("wool", "TRUE", "125")),
    # words and errors are no numbers
    ("<c:numRef><c:f>S!$C$1:$C$3</c:f>{}</c:numRef>", "", numbers("", "", "125")),
    ("<c:numRef><c:f>S!$D$1:$D$2</c:f>{}</c:numRef>", "", numbers(count=2)),
    ("<c:strRef><c:f>S!$D$1:$D$2</c:f>{}</c:strRef>", "", words("#N/A", "")),
    # older values give way, their format stays
    ("<c:numRef><c:f>S!$A$1:$A$3</c:f>{}</c:numRef>", numbers("1", "2", "3", code="#,##0 &quot;dB&quot;"), None),
    ("<c:numRef><c:f>S!$A$1:$A$3</c:f>{}</c:numRef>", "<c:numCache/>", numbers("1", "", "0.30000000000000004")),
    ("<c:strRef><c:f>S!$B$1</c:f>{}</c:strRef>", words("Fan"), words("Fan &lt; 3")),
    # what is the same stays as it is written
    ("<c:numRef><c:f>S!$A$1:$A$3</c:f>{}</c:numRef>", numbers("1.000", "", "3.0000000000000004E-1"), "same"),
    ("<c:strRef><c:f>S!$B$1</c:f>{}</c:strRef>", words("Fan &#60; 3"), "same"),
    # what is not found here stays
    ("<c:numRef><c:f>Other!$A$1:$A$3</c:f>{}</c:numRef>", numbers("1", "2", "3"), "same"),
    ("<c:numLit>{}</c:numLit>", '<c:ptCount val="1"/><c:pt idx="0"><c:v>7</c:v></c:pt>', "same"),
    ("<c:numRef><c:f></c:f>{}</c:numRef>", "", "same"),
]


@pytest.mark.parametrize(("around", "before", "after"), REMEMBERED)
def test_a_chart_remembers_its_cells(around, before, after):
    if after is None:
        after = numbers("1", "", "0.30000000000000004", code='#,##0 "dB"')
    given = chart("<c:title/>" + around.format(before))
    wanted = given if after == "same" else chart("<c:title/>" + around.format(after))
    assert with_caches(given, "chart1.xml", VALUES.get) == wanted
    assert with_caches(wanted, "chart1.xml", VALUES.get) == wanted


def test_a_chart_without_a_prefix():
    given = chart("<numRef ><f>S!$A$1:$A$3</f >  </numRef>", "")
    kept = '<numCache><formatCode>General</formatCode><ptCount val="3"/><pt idx="0"><v>1</v></pt>'
    assert kept.encode() in with_caches(given, "chart1.xml", VALUES.get)


@pytest.mark.parametrize("data", [b"<c:chartSpace>", b'<!DOCTYPE a [<!ENTITY b "c">]><a/>'])
def test_a_damaged_chart_is_told(data):
    with pytest.raises(WorkbookError):
        with_caches(data, "chart1.xml", VALUES.get)

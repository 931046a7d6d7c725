"""Elements of a part whose text is changed, or which are taken out; every other byte stays."""

from __future__ import annotations

import pytest

from stillbook.workbook.file.elements import with_elements


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"<a><f>1</f></a>", b"<a><f>[1]</f></a>"),
        (b"<a><f x='>'>1 &lt; 2</f>t</a>", b"<a><f x='>'>[1 &lt; 2]</f>t</a>"),
        (b"<a><p:f xmlns:p='u'>1</p:f><g>1</g></a>", b"<a><p:f xmlns:p='u'>[1]</p:f><g>1</g></a>"),
        (b"<a><f><![CDATA[1]]></f></a>", b"<a><f>[1]</f></a>"),
        ("<a><f>é</f>é</a>".encode(), "<a><f>[é]</f>é</a>".encode()),
    ],
)
def test_the_text_of_an_element_alone_is_changed(before: bytes, after: bytes) -> None:
    assert with_elements(before, "part", {"f"}, lambda text: f"[{text}]") == (after, 1)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"<a><f>1</f><v>2</v></a>", b"<a><v>2</v></a>"),
        (b"<a><f t='shared' si='0'/><v>2</v></a>", b"<a><v>2</v></a>"),
        (b"<a><f></f ><v>2</v></a>", b"<a><v>2</v></a>"),
    ],
)
def test_an_element_can_be_removed(before: bytes, after: bytes) -> None:
    assert with_elements(before, "part", {"f"}, lambda _: None) == (after, 1)

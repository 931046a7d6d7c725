import io
import struct
import zipfile

import pytest

from stillbook.workbook import WorkbookError
from stillbook.workbook.file.archive import Archive
from workbook import books


def test_only_the_changed_entry_differs(rich):
    name = books.SHEET1
    after = Archive(rich).with_parts({name: b"<new/>" * 500})
    assert books.parts(after)[name] == b"<new/>" * 500
    assert [entry for entry in books.raw_entries(after) if entry[0] != name] == [
        entry for entry in books.raw_entries(rich) if entry[0] != name
    ]
    archive = zipfile.ZipFile(io.BytesIO(after))
    assert archive.testzip() is None
    assert archive.comment == b"made for a test"
    before, now = zipfile.ZipFile(io.BytesIO(rich)).getinfo(name), archive.getinfo(name)
    for attribute in ("date_time", "compress_type", "external_attr", "comment", "create_system"):
        assert getattr(before, attribute) == getattr(now, attribute)


def test_every_entry_may_change_at_once(rich):
    new = {name: name.encode() for name in books.parts(rich)}
    assert books.parts(Archive(rich).with_parts(new)) == new


def test_nothing_changed_gives_the_same_entries(rich):
    assert books.raw_entries(Archive(rich).with_parts({})) == books.raw_entries(rich)


def test_large_file_records_of_small_entries_are_understood():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in ("one", "two", "three"):
            with archive.open(name, "w", force_zip64=True) as entry:
                entry.write(name.encode() * 1000)
    after = Archive(out.getvalue()).with_parts({"two": b"new"})
    assert books.parts(after) == {"one": b"one" * 1000, "two": b"new", "three": b"three" * 1000}


def with_name(name: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("A" * len(name.encode()), b"x")
    return out.getvalue().replace(b"A" * len(name.encode()), name.encode())


def flagged(bit: int) -> bytes:
    data = bytearray(books.zipped({"a": b"x"}))
    data[6] |= bit
    data[data.index(b"PK\x01\x02") + 8] |= bit
    return bytes(data)


def overlapping() -> bytes:
    """Two directory entries that lead to the same bytes."""
    data = books.zipped({"a.xml": b"x" * 100, "b.xml": b"x" * 100})
    second = data.index(b"PK\x01\x02", data.index(b"PK\x01\x02") + 4)
    return data[: second + 42] + struct.pack("<I", 0) + data[second + 46 :]


def twice_the_same_name() -> bytes:
    data = books.zipped({"a.xml": b"x", "b.xml": b"y"})
    return data.replace(b"b.xml", b"A.xml")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        pytest.param(b"PK\x03\x04 and nothing more", "damaged or cut short", id="a beginning alone"),
        pytest.param(books.zipped({"a": b"x" * 1000})[:-30], "damaged or cut short", id="without its end"),
        pytest.param(
            books.zipped({"a": bytes(range(256)) * 9})[300:], "damaged or cut short", id="without its beginning"
        ),
        pytest.param(with_name("../../etc/passwd"), "unsafe name", id="a path upwards"),
        pytest.param(with_name("/etc/passwd"), "unsafe name", id="a path from the root"),
        pytest.param(with_name("C:/windows/x"), "unsafe name", id="a path of another system"),
        pytest.param(with_name("..\\..\\x"), "unsafe name", id="a path upwards of another system"),
        pytest.param(flagged(1), "locked with a password", id="locked"),
        pytest.param(books.zipped({"a": b"\0" * 30_000_000}), "unpacks to 29 MB", id="far too large"),
        pytest.param(books.zipped({str(n): b"" for n in range(5001)}), "5001 parts", id="far too many parts"),
        pytest.param(overlapping(), "overlap|cut short", id="parts over each other"),
        pytest.param(twice_the_same_name(), "two parts have the same name", id="two parts of one name"),
    ],
)
def test_what_a_workbook_never_is(data, message):
    with pytest.raises(WorkbookError, match=message):
        Archive(data)


def test_a_damaged_part_is_named():
    data = bytearray(books.zipped({"a.xml": b"some text " * 50}))
    data[40] ^= 0xFF
    with pytest.raises(WorkbookError, match=r"damaged \(a\.xml cannot be read\)"):
        Archive(bytes(data)).read("a.xml")


def test_a_missing_part_is_named():
    with pytest.raises(WorkbookError, match=r"damaged \(b\.xml is missing\)"):
        Archive(books.zipped({"a.xml": b""})).read("b.xml")

"""Archives that are the same every time, and names that no system refuses."""

from __future__ import annotations

import io
import struct
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cladmodel.exports.archive import file_name, zip_bytes


def starts(data: bytes) -> list[int]:
    """Where each file's contents begin, by the local headers."""
    found = []
    for info in zipfile.ZipFile(io.BytesIO(data)).infolist():
        name, extra = struct.unpack_from("<HH", data, info.header_offset + 26)
        found.append(info.header_offset + 30 + name + extra)
    return found


@given(
    st.lists(st.tuples(st.integers(1, 90), st.binary(max_size=200)), min_size=1, max_size=5),
    st.sampled_from([4, 64, 4096]),
)
def test_aligned_files_begin_at_multiples_and_come_back(files, align: int) -> None:
    """Law: whatever the names' lengths, contents start at a multiple and are what was put in."""
    entries = [(f"{number}{'n' * length}é", data) for number, (length, data) in enumerate(files)]
    packed = zip_bytes(entries, squeeze=False, align=align)
    assert [start % align for start in starts(packed)] == [0] * len(entries)
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        assert archive.testzip() is None
        assert [(name, archive.read(name)) for name in archive.namelist()] == entries


def test_squeezed_files_come_back_smaller() -> None:
    packed = zip_bytes([("a/b.stl", bytes(10_000))])
    assert len(packed) < 1_000
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        assert archive.read("a/b.stl") == bytes(10_000)
        (info,) = archive.infolist()
        assert info.date_time == (1980, 1, 1, 0, 0, 0)


def test_an_archive_does_not_know_when_it_was_made(monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    first = zip_bytes([("a", b"a")])
    monkeypatch.setattr(time, "time", lambda: 2e9)
    assert zip_bytes([("a", b"a")]) == first


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("A07a", "A07a"),
        ("Größe 壁", "Größe 壁"),
        ("a/b\\c:d", "a_b_c_d"),
        ("..", "piece"),
        (" .hidden. ", "hidden"),
        ("", "piece"),
        ("nul", "_nul"),
        ("COM1.x", "_COM1.x"),
        ('<"|?*>\n\0', "________"),
        ("x" * 300, "x" * 100),
    ],
)
def test_names_are_kept_as_far_as_systems_allow(text: str, name: str) -> None:
    assert file_name(text, set()) == name


@given(st.lists(st.text(max_size=120), max_size=20))
def test_no_two_files_have_one_name(texts) -> None:
    """Law: names differ even where capitals do not count."""
    taken: set[str] = set()
    names = [file_name(text, taken) for text in texts]
    assert len({name.lower() for name in names}) == len(texts)
    assert all(name and "/" not in name and not name.startswith(".") for name in names)

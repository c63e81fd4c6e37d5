"""Zip archives that come out the same, byte for byte, every time."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Iterable

# The earliest moment a zip entry can tell (PKWARE APPNOTE 4.4.6); a true time would change the bytes.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
# Unix, read by all and written by the owner: the same whatever machine writes it.
_UNIX, _MODE = 3, 0o100644 << 16
_LOCAL_HEADER = 30  # bytes before an entry's name (APPNOTE 4.3.7)
# Filler in an entry's extra field; the number the USD format's own writer gives it, so that no reader trips.
_FILLER = 0x1986
_FILLER_HEAD = 4  # bytes of an extra field's number and length (APPNOTE 4.5.1)
# Names that one common system keeps for devices, whatever their ending.
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
_LONGEST_NAME = 100  # characters; no disk refuses it, not even with four bytes a character


def zip_bytes(
    entries: Iterable[tuple[str, bytes]], *, squeeze: bool = True, align: int | None = None
) -> bytes:
    """Pack files into one zip archive.

    Parameters
    ----------
    entries : iterable of (str, bytes)
        Name inside the archive (folders with ``/``) and contents, in the order they are stored.
    squeeze : bool
        Compress; otherwise stored as they are.
    align : int, optional
        Start every file's contents at a multiple of this many bytes.

    Returns
    -------
    bytes

    Examples
    --------
    >>> zip_bytes([("a.txt", b"a")]) == zip_bytes([("a.txt", b"a")])
    True
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in entries:
            info = zipfile.ZipInfo(name, _NO_TIME)
            info.create_system, info.external_attr = _UNIX, _MODE
            info.compress_type = zipfile.ZIP_DEFLATED if squeeze else zipfile.ZIP_STORED
            if align is not None:
                info.extra = _filler(out.tell() + _LOCAL_HEADER + len(name.encode()), align)
            archive.writestr(info, data)
    return out.getvalue()


def _filler(offset: int, align: int) -> bytes:
    """Return an extra field that pushes what follows to the next multiple."""
    short = -offset % align
    if short == 0:
        return b""
    while short < _FILLER_HEAD:
        short += align
    return struct.pack("<HH", _FILLER, short - _FILLER_HEAD) + bytes(short - _FILLER_HEAD)


def file_name(text: str, taken: set[str]) -> str:
    """Make a file name that any system takes out of a mark or a name, and no two alike.

    Parameters
    ----------
    text : str
    taken : set of str
        Names given so far, in small letters; the new one is added.

    Returns
    -------
    str
        Letters, digits, spaces, ``-``, ``_`` and ``.`` as they are, anything else as ``_``.

    Examples
    --------
    >>> given = set()
    >>> file_name("A07a", given), file_name("../A07a", given), file_name("a07A", given)
    ('A07a', '_A07a', 'a07A-2')
    """
    kept = "".join(sign if sign.isalnum() or sign in "-_. " else "_" for sign in text)
    # No name may begin with a dot (hidden, or the folder above) or end with a dot or a space.
    base = kept.strip(". ")[:_LONGEST_NAME].strip(". ") or "piece"
    if base.split(".")[0].lower() in _DEVICES:
        base = f"_{base}"
    name, number = base, 1
    while name.lower() in taken:
        number += 1
        name = f"{base}-{number}"
    taken.add(name.lower())
    return name

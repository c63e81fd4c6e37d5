"""Which file name ending gets which format: the only place that lists them."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from cladmodel.errors import OutputError
from cladmodel.exports.files import write_whole
from cladmodel.exports.gltf import glb_bytes
from cladmodel.exports.materials import Colours
from cladmodel.exports.stl import stl_bytes
from cladmodel.model import Model


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """One kind of 3D file.

    Attributes
    ----------
    title : str
        What it is, for help and messages.
    encode : callable
        From a model and the finish's colours (or None) to the file's bytes.
    """

    title: str
    encode: Callable[[Model, Colours | None], bytes]


# A new format is one module beside this one and one line here.
FORMATS: Mapping[str, Format] = {
    ".glb": Format(
        title="glTF 2.0 binary: every piece named, coloured; metres, y up",
        encode=lambda model, colours: glb_bytes(model, finish_colours=colours),
    ),
    ".stl": Format(
        title="binary STL: triangles only; millimetres, z up",
        encode=lambda model, _: stl_bytes(model),
    ),
}


def format_of(path: str | os.PathLike[str]) -> Format:
    """Return the format that a file's name asks for.

    Parameters
    ----------
    path : str or path-like

    Raises
    ------
    OutputError
        If the ending is none that is known; the message lists those that are.
    """
    suffix = Path(path).suffix
    found = FORMATS.get(suffix.lower())
    if found is None:
        ending = f"the ending {suffix}" if suffix else "a name without an ending"
        known = ", ".join(FORMATS)
        raise OutputError(f"{Path(path)}: {ending} is no 3D format known here; use one of {known}.")
    return found


def export(model: Model, path: str | os.PathLike[str], *, finish_colours: Colours | None = None) -> Path:
    """Write a model in the format its file name asks for.

    Parameters
    ----------
    model : Model
    path : str or path-like
        Its ending picks the format, in small letters or capitals.
    finish_colours : mapping of str to (3,) float, optional
        Screen colours (sRGB, 0 to 1) by material, for formats that carry colour.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If the ending is unknown or the file cannot be written; the message says which.
    """
    return write_whole(path, format_of(path).encode(model, finish_colours))

"""Which file name ending gets which format: the only place that lists them."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from cladmodel.errors import OutputError
from cladmodel.exports.extras import load
from cladmodel.exports.gltf import glb_bytes
from cladmodel.exports.ifc import ifc_bytes
from cladmodel.exports.materials import Colours, FinishLook
from cladmodel.exports.stl import stl_bytes
from cladmodel.exports.threemf import threemf_bytes
from cladmodel.exports.usdz import usdz_bytes
from cladmodel.folders.one_file import write_whole
from cladmodel.model import Model


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """One kind of 3D file.

    Attributes
    ----------
    title : str
        What it is, for help and messages.
    encode : callable
        From a model, the finish's colours (or None) and the finishes to switch between to the file's
        bytes; a format takes of these what it has room for.
    needs : (str, str) or None
        The extra of cladmodel that it needs, and a module that shows whether it is there.
    """

    title: str
    encode: Callable[[Model, Colours | None, Sequence[FinishLook]], bytes]
    needs: tuple[str, str] | None = None


# A new format is one module beside this one and one line here.
FORMATS: Mapping[str, Format] = {
    ".glb": Format(
        title="glTF 2.0 binary: every piece named, coloured, finishes to switch between; metres, y up",
        encode=lambda model, colours, finishes: glb_bytes(
            model,
            finish_colours=colours,
            textures=finishes[0].textures if finishes else None,
            finishes=finishes,
        ),
    ),
    ".stl": Format(
        title="binary STL: triangles only; millimetres, z up",
        encode=lambda model, _colours, _finishes: stl_bytes(model),
    ),
    ".3mf": Format(
        title="3MF: every piece named, coloured, for printing; millimetres, z up",
        encode=lambda model, colours, _: threemf_bytes(model, finish_colours=colours),
    ),
    ".usdz": Format(
        title="USDZ: every piece named, coloured, for phones; metres, y up; needs the extra usdz",
        encode=lambda model, colours, _: usdz_bytes(model, finish_colours=colours),
        needs=("usdz", "pxr.Usd"),
    ),
    ".ifc": Format(
        title="IFC4: every piece a product with its figures; millimetres, z up; needs the extra ifc",
        encode=lambda model, colours, _: ifc_bytes(model, finish_colours=colours),
        needs=("ifc", "ifcopenshell"),
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
        If the ending is none that is known, in which case the message lists those that are; or if the
        format needs a package that is not installed, in which case it says how to install it.
    """
    suffix = Path(path).suffix
    found = FORMATS.get(suffix.lower())
    if found is None:
        ending = f"the ending {suffix}" if suffix else "a name without an ending"
        known = ", ".join(FORMATS)
        raise OutputError(f"{Path(path)}: {ending} is no 3D format known here; use one of {known}.")
    if found.needs is not None:
        load(*found.needs)
    return found


def export(
    model: Model,
    path: str | os.PathLike[str],
    *,
    finish_colours: Colours | None = None,
    finishes: Sequence[FinishLook] = (),
) -> Path:
    """Write a model in the format its file name asks for.

    Parameters
    ----------
    model : Model
    path : str or path-like
        Its ending picks the format, in small letters or capitals.
    finish_colours : mapping of str to (3,) float, optional
        Screen colours (sRGB, 0 to 1) by material, for formats that carry colour.
    finishes : sequence of FinishLook
        Finishes to switch between, for formats whose viewers can; the first one's images are shown to
        start with.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If the ending is unknown, the format needs a package that is not installed, or the file cannot
        be written; the message says which.
    """
    return write_whole(path, format_of(path).encode(model, finish_colours, finishes))

"""3MF: every piece a named closed mesh, in millimetres, z up; for printing and for other software.

A wall is an object made of its pieces and carries its frame; pieces keep their wall's axes. Fixings are
left out. The same model gives the same bytes. Core specification 1.2 (3MF Consortium, 2018), from memory
where not shown by the readers that the tests use.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from cladmodel.exports.archive import zip_bytes
from cladmodel.exports.figures import part_figures
from cladmodel.exports.materials import Colours, look_of
from cladmodel.exports.placing import frame_z_up
from cladmodel.model import Floats, Model, Part

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_OWN = "urn:cladmodel:piece"  # a namespace of our own, which the format asks of any metadata it does not know
_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
_LINKS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="model" Target="/3D/3dmodel.model"'
    ' Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>\n"
)
# Decimals of a coordinate: a hundred-thousandth of a millimetre, far below what single precision keeps.
DECIMALS = 5
TURN_DECIMALS = 12
_MATERIALS = 1  # id of the table of materials; objects count on from it
_LINE_SIGNS = re.compile("[\t\n\r]")
# What XML 1.0 has no way to write at all (section 2.2).
_UNWRITABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def threemf_bytes(model: Model, *, finish_colours: Colours | None = None) -> bytes:
    """Return all parts of a model as the bytes of a 3MF file.

    Parameters
    ----------
    model : Model
    finish_colours : mapping of str to (3,) float, optional
        Screen colours (sRGB, 0 to 1) by material, in place of the table's.

    Returns
    -------
    bytes
        The same for the same model.
    """
    text = "\n".join(_document(model, finish_colours)) + "\n"
    return zip_bytes(
        [
            ("[Content_Types].xml", _TYPES.encode()),
            ("_rels/.rels", _LINKS.encode()),
            ("3D/3dmodel.model", text.encode()),
        ]
    )


def _document(model: Model, finish_colours: Colours | None) -> Iterator[str]:
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield f'<model unit="millimeter" xml:lang="en" xmlns="{_CORE}" xmlns:piece="{_OWN}">'
    yield _metadata("Title", model.title)
    yield _metadata("Application", "cladmodel")
    yield "<resources>"
    materials = {name: row for row, name in enumerate(dict.fromkeys(part.material for part in model.parts))}
    if materials:
        yield f'<basematerials id="{_MATERIALS}">'
        for name in materials:
            shown = _attribute(name or "unknown")
            yield f'<base name={shown} displaycolor="{_hex(look_of(name, finish_colours).colour)}"/>'
        yield "</basematerials>"
    number = _MATERIALS
    pieces: dict[str, list[int]] = {wall.name: [] for wall in model.walls}
    for part in model.parts:
        number += 1
        pieces[part.wall].append(number)
        yield from _piece(part, number, materials)
    items = []
    for wall in model.walls:
        if not pieces[wall.name]:
            continue
        number += 1
        yield f'<object id="{number}" type="model" name={_attribute(wall.name)}><components>'
        yield from (f'<component objectid="{piece}"/>' for piece in pieces[wall.name])
        yield "</components></object>"
        items.append(f'<item objectid="{number}" transform="{_transform(frame_z_up(wall.frame))}"/>')
    yield "</resources>"
    yield "<build>"
    yield from items
    yield "</build>"
    yield "</model>"


def _piece(part: Part, number: int, materials: Mapping[str, int]) -> Iterator[str]:
    mark = _attribute(part.mark)
    look = f'pid="{_MATERIALS}" pindex="{materials[part.material]}"'
    yield f'<object id="{number}" type="model" name={mark} partnumber={mark} {look}>'
    yield "<metadatagroup>"
    yield _metadata("piece:mark", part.mark)
    for name, value in part_figures(part).items():
        if name != "material":  # its look says it already
            yield _metadata(f"piece:{name}", _number(value) if isinstance(value, float) else str(value))
    yield "</metadatagroup>"
    yield "<mesh><vertices>"
    for x, y, z in (np.round(part.vertices, DECIMALS) + 0.0).tolist():
        yield f'<vertex x="{_number(x)}" y="{_number(y)}" z="{_number(z)}"/>'
    yield "</vertices><triangles>"
    for a, b, c in part.faces.tolist():
        yield f'<triangle v1="{a}" v2="{b}" v3="{c}"/>'
    yield "</triangles></mesh></object>"


def _metadata(name: str, text: str) -> str:
    return f'<metadata name="{name}">{escape(_writable(text))}</metadata>'


def _attribute(text: str) -> str:
    """Quote a name on one line: XML makes line ends there spaces, and not all readers know them escaped."""
    return quoteattr(_LINE_SIGNS.sub(" ", _writable(text)))


def _writable(text: str) -> str:
    """Put a replacement mark where a text has a sign that XML cannot carry."""
    return _UNWRITABLE.sub("\ufffd", text)


def _number(value: float, decimals: int = DECIMALS) -> str:
    """Write a number in full, without an exponent and without idle noughts."""
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _transform(frame: Floats) -> str:
    """Lay a frame out as the format wants it: three turned axes, then the place, as rows."""
    return " ".join(_number(float(value), TURN_DECIMALS) for value in frame[:3].T.ravel())


def _hex(colour: tuple[float, float, float]) -> str:
    return "#" + "".join(f"{round(255 * value):02X}" for value in colour)

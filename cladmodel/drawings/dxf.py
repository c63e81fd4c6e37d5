"""Write a sheet as DXF (R2018, millimetres), its dimensions as dimensions.

A sheet with one view is written at full size: a millimetre of the file is a millimetre of the wall, and
plots at the view's scale. A sheet with views at several scales is written as the paper is; each dimension
then carries its view's scale, so that what it measures is the full size either way.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cladmodel.drawings.lettering import FAMILY, plate_of, text_box
from cladmodel.drawings.primitives import (
    PENS,
    Across,
    Dimension,
    Fill,
    Layer,
    Line,
    Point,
    Polyline,
    Sheet,
    Simple,
    Text,
)
from cladmodel.drawings.strokes import LIFT, OVERSHOOT, TICK, readable, strokes

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

_PLAIN, _BOLD, _DIMENSIONS = "plain", "bold", "cladmodel"
_DASHED = "cladmodel dashed"
_PAPER = "paper"
"""Layer of the white sheet behind everything, so that the drawing reads on a dark screen too."""
_BY_LAYER = 256
"""Colour number that means the layer's own. DXF reference, group code 62."""


def dxf_text(sheet: Sheet) -> str:
    """Write a sheet as one DXF document, the same text each time.

    Parameters
    ----------
    sheet : Sheet
    """
    with _without_dates():
        document = dxf_document(sheet)
        for name in sorted(document.entitydb.dxf_types_in_use()):  # else in the order of a set
            document.classes.add_class(name)
        out = io.StringIO()
        document.write(out)
    return out.getvalue()


def write_dxf(sheet: Sheet, path: Path) -> None:
    """Write a sheet into a DXF file.

    Parameters
    ----------
    sheet : Sheet
    path : Path
    """
    path.write_text(dxf_text(sheet), encoding="utf-8", newline="\n")


@contextmanager
def _without_dates() -> Iterator[None]:
    """Keep the time of day and random identifiers out of the file."""
    from ezdxf import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def full_size(sheet: Sheet) -> float:
    """By how much a sheet is enlarged: the scale of its dimensions if they all share one, else 1. [-]

    Parameters
    ----------
    sheet : Sheet
    """
    scales = {dimension.scale for dimension in sheet.dimensions}
    return scales.pop() if len(scales) == 1 else 1.0


def dxf_document(sheet: Sheet) -> Drawing:
    """Make a DXF document of a sheet.

    Parameters
    ----------
    sheet : Sheet
    """
    import ezdxf
    from ezdxf import units

    document = ezdxf.new("R2018")
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    times = full_size(sheet)
    document.header["$LTSCALE"] = times
    for name, file in ((_PLAIN, "DejaVuSans.ttf"), (_BOLD, "DejaVuSans-Bold.ttf")):
        document.styles.add(name, font=file)
    dash = next(pen.dash for pen in PENS.values() if pen.dash)
    document.linetypes.add(_DASHED, [sum(dash), dash[0], -dash[1]], description=f"{FAMILY} - - -")
    for layer in Layer:
        _layer(document, layer)
    _dimension_style(document, times)
    space = document.modelspace()
    _paper(document, sheet, times)
    for primitive in sheet.primitives:
        if isinstance(primitive, Dimension):
            _dimension(space, primitive, times)
        else:
            for stroke in strokes([primitive]):
                _stroke(space, stroke, times)
    document.set_modelspace_vport(sheet.height * times, (sheet.width * times / 2, sheet.height * times / 2))
    return document


def _layer(document: Drawing, layer: Layer) -> None:
    pen = PENS[layer]
    entry = document.layers.add(str(layer), linetype=_DASHED if pen.dash else "Continuous")
    entry.rgb = _rgb(pen.colour)
    entry.dxf.lineweight = round(pen.width * 100)


def _paper(document: Drawing, sheet: Sheet, times: float) -> None:
    document.layers.add(_PAPER).rgb = (255, 255, 255)
    hatch = document.modelspace().add_hatch(dxfattribs={"layer": _PAPER})
    hatch.rgb = (255, 255, 255)
    corners = ((0.0, 0.0), (sheet.width, 0.0), (sheet.width, sheet.height), (0.0, sheet.height))
    hatch.paths.add_polyline_path([_times(corner, times) for corner in corners], is_closed=True)


def _rgb(colour: str) -> tuple[int, int, int]:
    red, green, blue = bytes.fromhex(colour[1:])
    return red, green, blue


def _dimension_style(document: Drawing, times: float) -> None:
    """Our own look: ticks, figures standing on the line; the same as `strokes` draws."""
    style = document.dimstyles.add(_DIMENSIONS)
    style.dxf.dimtxsty = _PLAIN
    style.dxf.dimscale = times
    style.dxf.dimtsz = TICK
    style.dxf.dimgap = LIFT
    style.dxf.dimexe = OVERSHOOT
    style.dxf.dimexo = 1.0
    style.dxf.dimdec = 1
    style.dxf.dimzin = 8  # no trailing zeros
    style.dxf.dimdsep = ord(".")
    style.dxf.dimtad = 1  # figure above the line
    style.dxf.dimtih = 0
    style.dxf.dimtoh = 0


def _dimension(space: Modelspace, d: Dimension, times: float) -> None:
    """A dimension whose own measurement is the full size."""
    words = d.text.rsplit(" ", 1)[0] + " " if " " in d.text else ""
    override: dict[str, Any] = {
        "dimtxt": d.height,
        "dimlfac": d.scale / times,
        "dimse1": 0 if d.extended else 1,
        "dimse2": 0 if d.extended else 1,
    }
    dimension = space.add_linear_dim(
        base=_times(d.through, times),
        p1=_times(d.start, times),
        p2=_times(d.end, times),
        angle=math.degrees(readable(d.angle)),
        text=f"{words}<>",
        dimstyle=_DIMENSIONS,
        override=override,
        dxfattribs={"layer": str(d.layer)},
    )
    (written,) = [stroke for stroke in strokes([d]) if isinstance(stroke, Text)]
    middle = text_box(written).centroid
    dimension.set_location(_times((middle.x, middle.y), times))
    dimension.render()
    # What the dimension is drawn with until a program draws it anew, in its layer's colour.
    for entity in dimension.dimension.get_geometry_block() or ():
        entity.dxf.layer = str(d.layer)
        entity.dxf.color = _BY_LAYER


def _times(point: Point, times: float) -> Point:
    return point[0] * times, point[1] * times


def _stroke(space: Modelspace, stroke: Simple, times: float) -> None:
    from ezdxf.enums import TextEntityAlignment

    attributes: dict[str, Any] = {"layer": str(stroke.layer)}
    match stroke:
        case Line(start=start, end=end):
            space.add_line(_times(start, times), _times(end, times), dxfattribs=attributes)
        case Polyline(points=points):
            space.add_lwpolyline([_times(p, times) for p in points], dxfattribs=attributes)
        case Fill():
            _fill(space, stroke, times)
        case Text():
            if stroke.plate:
                _fill(space, plate_of(stroke), times)
            across = {
                Across.LEFT: TextEntityAlignment.LEFT,
                Across.MIDDLE: TextEntityAlignment.CENTER,
                Across.RIGHT: TextEntityAlignment.RIGHT,
            }[stroke.across]
            space.add_text(
                _without_codes(stroke.text),
                height=stroke.height * times,
                rotation=math.degrees(stroke.angle),
                dxfattribs={**attributes, "style": _BOLD if stroke.bold else _PLAIN},
            ).set_placement(_times(stroke.at, times), align=across)


def _without_codes(text: str) -> str:
    """A text in which nothing is a DXF code: ``%%`` and ``^`` begin one (DXF reference, TEXT)."""
    return text.replace("^", "^ ").replace("%%", "%%%%%%")


def _fill(space: Modelspace, fill: Fill, times: float) -> None:
    hatch = space.add_hatch(dxfattribs={"layer": str(fill.layer)})
    hatch.rgb = _rgb(fill.colour)
    rings = (fill.outline, *fill.holes)
    for number, ring in enumerate(rings):
        flags = 1 if number == 0 else 16  # external; outermost hole
        hatch.paths.add_polyline_path([_times(p, times) for p in ring], is_closed=True, flags=flags)
    if fill.outlined:
        for ring in rings:
            points = [_times(p, times) for p in ring]
            space.add_lwpolyline(points, close=True, dxfattribs={"layer": str(fill.layer)})

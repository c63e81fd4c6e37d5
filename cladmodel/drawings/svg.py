"""Write a sheet as SVG."""

from __future__ import annotations

import math
from collections.abc import Iterable
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from cladmodel.drawings.lettering import FAMILY, body, plate_of, text_width
from cladmodel.drawings.primitives import (
    PENS,
    Across,
    Fill,
    Layer,
    Line,
    Point,
    Polyline,
    Sheet,
    Simple,
    Text,
)
from cladmodel.drawings.strokes import strokes

_ANCHOR = {Across.LEFT: "start", Across.MIDDLE: "middle", Across.RIGHT: "end"}


def svg_text(sheet: Sheet) -> str:
    """Write a sheet as one SVG document, true to size in millimetres.

    Parameters
    ----------
    sheet : Sheet
    """
    body_lines = [_element(stroke, sheet.height) for stroke in strokes(sheet.primitives)]
    styles = " ".join(_style(layer) for layer in Layer)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{sheet.width:g}mm" height="{sheet.height:g}mm" '
            f'viewBox="0 0 {sheet.width:g} {sheet.height:g}">',
            f"<title>{escape(sheet.title)}</title>",
            f"<style>text {{ font-family: '{FAMILY}', Verdana, sans-serif; }} {styles}</style>",
            f'<rect width="{sheet.width:g}" height="{sheet.height:g}" fill="#ffffff"/>',
            *body_lines,
            "</svg>",
            "",
        ]
    )


def write_svg(sheet: Sheet, path: Path) -> None:
    """Write a sheet into an SVG file.

    Parameters
    ----------
    sheet : Sheet
    path : Path
    """
    path.write_text(svg_text(sheet), encoding="utf-8")


def _style(layer: Layer) -> str:
    pen = PENS[layer]
    dash = f" stroke-dasharray: {' '.join(f'{d:g}' for d in pen.dash)};" if pen.dash else ""
    stroke = f"stroke: {pen.colour}; stroke-width: {pen.width:g};{dash} stroke-linejoin: round;"
    return f".{layer} {{ {stroke} }} text.{layer} {{ fill: {pen.colour}; stroke: none; }}"


def _points(points: Iterable[Point], height: float) -> str:
    return " ".join(f"{x:.3f},{height - y:.3f}" for x, y in points)


def _ring(points: tuple[Point, ...], height: float) -> str:
    return "M" + " L".join(_points([p], height) for p in points) + " Z"


def _element(stroke: Simple, height: float) -> str:
    match stroke:
        case Line(layer=layer, start=start, end=end):
            return f'<polyline class="{layer}" fill="none" points="{_points((start, end), height)}"/>'
        case Polyline(layer=layer, points=points):
            return f'<polyline class="{layer}" fill="none" points="{_points(points, height)}"/>'
        case Fill(layer=layer, outline=outline, holes=holes, colour=colour, outlined=outlined):
            path = " ".join(_ring(ring, height) for ring in (outline, *holes))
            bare = "" if outlined else ' style="stroke: none"'
            return f'<path class="{layer}" fill={quoteattr(colour)} fill-rule="evenodd"{bare} d="{path}"/>'
        case Text():
            return _text(stroke, height)


def _text(t: Text, height: float) -> str:
    x, y = t.at[0], height - t.at[1]
    turn = f' transform="rotate({-math.degrees(t.angle):.3f} {x:.3f} {y:.3f})"' if t.angle else ""
    weight = ' font-weight="bold"' if t.bold else ""
    # textLength keeps words in their room when the reader's machine has another typeface.
    letters = (
        f'<text class="{t.layer}" x="{x:.3f}" y="{y:.3f}" font-size="{body(t.height):.3f}" '
        f'text-anchor="{_ANCHOR[t.across]}" textLength="{text_width(t.text, t.height, t.bold):.3f}" '
        f'lengthAdjust="spacingAndGlyphs"{weight}{turn}>{escape(t.text)}</text>'
    )
    if not t.plate:
        return letters
    plate = plate_of(t)
    return f'<path fill="{plate.colour}" d="{_ring(plate.outline, height)}"/>{letters}'

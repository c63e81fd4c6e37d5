"""Draw a sheet as a PNG picture."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cladmodel.drawings.lettering import FAMILY, body, text_box
from cladmodel.drawings.primitives import PENS, Across, Fill, Line, Point, Polyline, Sheet, Text
from cladmodel.drawings.strokes import strokes

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_ALIGN = {Across.LEFT: "left", Across.MIDDLE: "center", Across.RIGHT: "right"}
_POINT = 72 / 25.4
"""Printer's points in a millimetre."""


def png_bytes(sheet: Sheet, *, width_px: int = 2400) -> bytes:
    """Draw a sheet as PNG, the same bytes each time.

    Parameters
    ----------
    sheet : Sheet
    width_px : int
        Width of the picture; its height follows the sheet's shape.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure
    from PIL import Image

    dots_per_mm = width_px / sheet.width
    figure = Figure(figsize=(sheet.width / 25.4, sheet.height / 25.4), dpi=dots_per_mm * 25.4)
    figure.set_facecolor("#ffffff")
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0, sheet.width)
    axes.set_ylim(0, sheet.height)
    for order, stroke in enumerate(strokes(sheet.primitives)):
        _draw(axes, stroke, order)
    canvas.draw()
    picture = Image.frombuffer("RGBA", canvas.get_width_height(), canvas.buffer_rgba(), "raw", "RGBA", 0, 1)
    out = io.BytesIO()
    dpi = dots_per_mm * 25.4
    picture.convert("RGB").save(out, format="PNG", dpi=(dpi, dpi), optimize=True)
    return out.getvalue()


def write_png(sheet: Sheet, path: Path, *, width_px: int = 2400) -> None:
    """Draw a sheet into a PNG file.

    Parameters
    ----------
    sheet : Sheet
    path : Path
    width_px : int
    """
    path.write_bytes(png_bytes(sheet, width_px=width_px))


def _draw(axes: Axes, stroke: Line | Polyline | Fill | Text, order: int) -> None:
    match stroke:
        case Line(start=start, end=end):
            _polyline(axes, stroke, (start, end), order)
        case Polyline(points=points):
            _polyline(axes, stroke, points, order)
        case Fill():
            _fill(axes, stroke, order)
        case Text():
            _text(axes, stroke, order)


def _polyline(axes: Axes, stroke: Line | Polyline, points: Iterable[Point], order: int) -> None:
    from matplotlib.lines import Line2D

    pen = PENS[stroke.layer]
    xs, ys = zip(*points, strict=True)
    width = pen.width * _POINT
    style: Any = (0, tuple(d * _POINT for d in pen.dash)) if pen.dash else "solid"
    axes.add_line(
        Line2D(
            xs,
            ys,
            color=pen.colour,
            linewidth=width,
            linestyle=style,
            zorder=order,
            solid_capstyle="round",
            solid_joinstyle="round",
        )
    )


def _fill(axes: Axes, stroke: Fill, order: int) -> None:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as Outline
    from shapely.geometry import LinearRing

    pen = PENS[stroke.layer]
    corners: list[Point] = []
    codes: list[int] = []
    for number, ring in enumerate((stroke.outline, *stroke.holes)):
        # Agg fills by the nonzero rule, so holes must run against the outline.
        forward = LinearRing(ring).is_ccw == (number == 0)
        ordered = ring if forward else ring[::-1]
        corners += [*ordered, ordered[0]]
        codes += [int(Outline.MOVETO), *[int(Outline.LINETO)] * (len(ring) - 1), int(Outline.CLOSEPOLY)]
    axes.add_patch(
        PathPatch(
            Outline(corners, codes),
            facecolor=stroke.colour,
            edgecolor=pen.colour,
            zorder=order,
            linewidth=pen.width * _POINT if stroke.outlined else 0.0,
            joinstyle="round",
        )
    )


def _text(axes: Axes, text: Text, order: int) -> None:
    if text.plate:
        corners = tuple(text_box(text).exterior.coords)[:-1]
        _fill(axes, Fill(layer=text.layer, outline=corners, colour="#ffffff", outlined=False), order)
    axes.text(
        *text.at,
        text.text.replace("$", r"\$"),
        fontsize=body(text.height) * _POINT,
        family=FAMILY,
        color=PENS[text.layer].colour,
        ha=_ALIGN[text.across],
        va="baseline",
        zorder=order,
        weight="bold" if text.bold else "normal",
        rotation=math.degrees(text.angle),
        rotation_mode="anchor",
    )

"""Draw a sheet as a PNG picture."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cladmodel.drawings.lettering import FAMILY, body, plate_of, start_of, without_warnings
from cladmodel.drawings.primitives import (
    PENS,
    POINT,
    Fill,
    Line,
    Pen,
    Point,
    Polyline,
    Sheet,
    Simple,
    Text,
)
from cladmodel.drawings.strokes import strokes

if TYPE_CHECKING:
    from matplotlib.backends.backend_agg import RendererAgg


def png_bytes(sheet: Sheet, *, width_px: int = 2400) -> bytes:
    """Draw a sheet as PNG, the same bytes each time.

    Parameters
    ----------
    sheet : Sheet
    width_px : int
        Width of the picture; its height follows the sheet's shape.
    """
    from matplotlib.backends.backend_agg import RendererAgg
    from PIL import Image

    dots_per_mm = width_px / sheet.width
    dpi = dots_per_mm * 25.4
    renderer = RendererAgg(width_px, int(sheet.height * dots_per_mm + 1e-6), dpi)
    renderer.clear()
    brush = _Brush(renderer, dots_per_mm)
    width, height = sheet.width, sheet.height
    brush.fill(((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)), (), "#ffffff", None)
    for stroke in strokes(sheet.primitives):
        brush.draw(stroke)
    size = (int(renderer.width), int(renderer.height))
    picture = Image.frombuffer("RGBA", size, renderer.buffer_rgba(), "raw", "RGBA", 0, 1)
    out = io.BytesIO()
    picture.convert("RGB").save(out, format="PNG", dpi=(dpi, dpi))
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


class _Brush:
    """Draws strokes straight onto the picture: no axes and no figure, which would take ten times as long."""

    def __init__(self, renderer: RendererAgg, dots_per_mm: float) -> None:
        from matplotlib.transforms import Affine2D

        self.renderer = renderer
        self.dots_per_mm = dots_per_mm
        self.to_dots = Affine2D().scale(dots_per_mm)

    def draw(self, stroke: Simple) -> None:
        match stroke:
            case Line(start=start, end=end):
                self._line((start, end), PENS[stroke.layer])
            case Polyline(points=points):
                self._line(points, PENS[stroke.layer])
            case Fill():
                pen = PENS[stroke.layer] if stroke.outlined else None
                self.fill(stroke.outline, stroke.holes, stroke.colour, pen)
            case Text():
                self._text(stroke)

    def _pen(self, pen: Pen | None) -> Any:
        context = self.renderer.new_gc()
        context.set_linewidth(0.0 if pen is None else pen.width * POINT)
        if pen is not None:
            context.set_foreground(pen.colour)
            if pen.dash:
                context.set_dashes(0, [length * POINT for length in pen.dash])
        context.set_capstyle("round")
        context.set_joinstyle("round")
        return context

    def _line(self, points: Sequence[Point], pen: Pen) -> None:
        from matplotlib.path import Path as Outline

        self.renderer.draw_path(self._pen(pen), Outline(points), self.to_dots)

    def fill(
        self, outline: Sequence[Point], holes: Sequence[Sequence[Point]], colour: str, pen: Pen | None
    ) -> None:
        """Fill a polygon, and draw its outline with a pen if there is one."""
        from matplotlib.colors import to_rgba
        from matplotlib.path import Path as Outline
        from shapely.geometry import LinearRing

        corners: list[Point] = []
        codes: list[int] = []
        for number, ring in enumerate((outline, *holes)):
            # Agg fills by the nonzero rule, so holes must run against the outline.
            forward = LinearRing(ring).is_ccw == (number == 0)
            ordered = list(ring if forward else ring[::-1])
            corners += [*ordered, ordered[0]]
            codes += [int(Outline.MOVETO), *[int(Outline.LINETO)] * (len(ring) - 1), int(Outline.CLOSEPOLY)]
        self.renderer.draw_path(self._pen(pen), Outline(corners, codes), self.to_dots, to_rgba(colour))

    def _text(self, text: Text) -> None:
        from matplotlib.font_manager import FontProperties

        if text.plate:
            plate = plate_of(text)
            self.fill(plate.outline, (), plate.colour, None)
        x, y = (value * self.dots_per_mm for value in start_of(text))
        context = self._pen(PENS[text.layer])
        face = FontProperties(
            family=FAMILY, weight="bold" if text.bold else "normal", size=body(text.height) * POINT
        )
        # The picture's rows run down.
        at = (x, float(self.renderer.height) - y)
        with without_warnings():
            self.renderer.draw_text(context, *at, text.text, face, math.degrees(text.angle))

"""Write sheets as one PDF, true to size: one page a sheet, each as large as its sheet."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cladmodel.drawings.lettering import FAMILY, body, plate_of, start_of
from cladmodel.drawings.primitives import PENS, POINT, Fill, Line, Polyline, Sheet, Simple, Text
from cladmodel.drawings.strokes import strokes

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_PLAIN, _BOLD = "cladmodel-plain", "cladmodel-bold"


def pdf_bytes(sheets: Sequence[Sheet], title: str) -> bytes:
    """Write sheets as one PDF document, the same bytes each time.

    Parameters
    ----------
    sheets : sequence of Sheet
        At least one.
    title : str
        Of the document.
    """
    from reportlab.pdfgen.canvas import Canvas

    _register()
    out = io.BytesIO()
    # invariant: no date and no random identifier in the file.
    canvas = Canvas(out, pagesize=_size(sheets[0]), pageCompression=1, invariant=1)
    canvas.setTitle(title)
    canvas.setCreator("cladmodel")
    for sheet in sheets:
        canvas.setPageSize(_size(sheet))
        canvas.bookmarkPage(sheet.title)
        canvas.addOutlineEntry(sheet.title, sheet.title, 0)
        canvas.scale(POINT, POINT)
        canvas.setLineJoin(1)
        canvas.setLineCap(1)
        pen = _Pen(canvas)
        for stroke in strokes(sheet.primitives):
            pen.draw(stroke)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def write_pdf(sheets: Sequence[Sheet], title: str, path: Path) -> None:
    """Write sheets into a PDF file.

    Parameters
    ----------
    sheets : sequence of Sheet
    title : str
    path : Path
    """
    path.write_bytes(pdf_bytes(sheets, title))


def _size(sheet: Sheet) -> tuple[float, float]:
    return sheet.width * POINT, sheet.height * POINT


def _register() -> None:
    """Make the typeface that comes with matplotlib known; only the letters used get into the file."""
    from matplotlib.font_manager import FontProperties, findfont
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, weight in ((_PLAIN, "normal"), (_BOLD, "bold")):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, findfont(FontProperties(family=FAMILY, weight=weight))))


class _Pen:
    """Draws strokes, saying pen and colour only when they change."""

    def __init__(self, canvas: Canvas) -> None:
        self.canvas = canvas
        self.line: tuple[float, str, tuple[float, ...]] | None = None
        self.colour: str | None = None

    def draw(self, stroke: Simple) -> None:
        match stroke:
            case Line(start=start, end=end):
                self._use(stroke)
                self.canvas.line(*start, *end)
            case Polyline(points=points):
                self._use(stroke)
                path = self.canvas.beginPath()
                path.moveTo(*points[0])
                for point in points[1:]:
                    path.lineTo(*point)
                self.canvas.drawPath(path, stroke=1, fill=0)
            case Fill():
                self._fill(stroke)
            case Text():
                self._text(stroke)

    def _use(self, stroke: Line | Polyline | Fill) -> None:
        pen = PENS[stroke.layer]
        wanted = (pen.width, pen.colour, pen.dash)
        if wanted != self.line:
            self.line = wanted
            self.canvas.setLineWidth(pen.width)
            self.canvas.setStrokeColor(pen.colour)
            self.canvas.setDash(list(pen.dash), 0)

    def _paint(self, colour: str) -> None:
        if colour != self.colour:
            self.colour = colour
            self.canvas.setFillColor(colour)

    def _fill(self, fill: Fill) -> None:
        if fill.outlined:
            self._use(fill)
        self._paint(fill.colour)
        path = self.canvas.beginPath()
        for ring in (fill.outline, *fill.holes):
            path.moveTo(*ring[0])
            for point in ring[1:]:
                path.lineTo(*point)
            path.close()
        # Even-odd, so that holes stay open whichever way they run.
        self.canvas.drawPath(path, stroke=int(fill.outlined), fill=1, fillMode=0)

    def _text(self, text: Text) -> None:
        if text.plate:
            self._fill(plate_of(text))
        self._paint(PENS[text.layer].colour)
        cos, sin = math.cos(text.angle), math.sin(text.angle)
        words = self.canvas.beginText()
        words.setFont(_BOLD if text.bold else _PLAIN, body(text.height))
        words.setTextTransform(cos, sin, -sin, cos, *start_of(text))
        words.textOut(text.text)
        self.canvas.drawText(words)

"""How much room letters take, from the metrics of the typeface that comes with matplotlib."""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any

from shapely.affinity import rotate, translate
from shapely.geometry import Polygon, box

from cladmodel.drawings.primitives import Across, Fill, Point, Text, plain

FAMILY = "DejaVu Sans"

CAPITAL = 0.729
"""Capital height over the body size of DejaVu Sans (1493 of 2048 units, from the typeface itself). [-]"""

DESCENT = 0.236
"""Depth of the descenders over the body size (483 of 2048 units, from the typeface itself). [-]"""

LINE_PITCH = 1.75
"""From base line to base line, in capital heights (common practice, no source). [-]"""

ELLIPSIS = "…"


@cache
def _face(bold: bool) -> Any:
    """The typeface file at a size large enough that hinting does not matter."""
    from matplotlib.font_manager import FontProperties, findfont
    from matplotlib.ft2font import FT2Font

    face = FT2Font(findfont(FontProperties(family=FAMILY, weight="bold" if bold else "normal")))
    face.set_size(100.0, 72.0)
    return face


@cache
def text_width(text: str, height: float, bold: bool = False) -> float:
    """Width of one line of letters.

    Parameters
    ----------
    text : str
    height : float
        Of the capitals. [mm]
    bold : bool

    Returns
    -------
    float
        [mm]
    """
    from matplotlib.ft2font import LoadFlags

    face = _face(bold)
    with without_warnings():
        face.set_text(plain(text), 0.0, flags=LoadFlags.NO_HINTING)
    width, _ = face.get_width_height()
    return float(width) / 64 / 100 * body(height)


@contextmanager
def without_warnings() -> Iterator[None]:
    """A letter that the typeface lacks shows as an empty box; that is no matter for the terminal."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        yield


def body(height: float) -> float:
    """Body size (em) of letters whose capitals are `height` tall. [mm]."""
    return height / CAPITAL


def text_box(text: Text) -> Polygon:
    """The rectangle that a text's letters fill, descenders included, where they stand. [mm on paper]."""
    width = text_width(text.text, text.height, text.bold)
    left = {Across.LEFT: 0.0, Across.MIDDLE: -width / 2, Across.RIGHT: -width}[text.across]
    low, (x, y) = -DESCENT * body(text.height), text.at
    if text.angle == 0:
        return box(left + x, low + y, left + width + x, text.height + y)
    upright = box(left, low, left + width, text.height)
    turned = rotate(upright, text.angle, origin=(0, 0), use_radians=True)
    return translate(turned, x, y)


def start_of(text: Text) -> Point:
    """Where a text's base line begins, whichever of its ends the anchor is. [mm on paper].

    Parameters
    ----------
    text : Text
    """
    width = text_width(text.text, text.height, text.bold)
    back = {Across.LEFT: 0.0, Across.MIDDLE: width / 2, Across.RIGHT: width}[text.across]
    return text.at[0] - back * math.cos(text.angle), text.at[1] - back * math.sin(text.angle)


def plate_of(text: Text) -> Fill:
    """The white plate behind a text that has one.

    Parameters
    ----------
    text : Text
    """
    corners: tuple[Point, ...] = tuple(text_box(text).exterior.coords)[:-1]
    return Fill(layer=text.layer, outline=corners, colour="#ffffff", outlined=False)


def wrap(text: str, width: float, height: float, bold: bool = False) -> list[str]:
    """Break a text into lines no wider than a column.

    Parameters
    ----------
    text : str
    width : float
        Of the column. [mm]
    height : float
        Of the capitals. [mm]
    bold : bool
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, height, bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return [fit(line, width, height, bold) for line in lines]


def fit(text: str, width: float, height: float, bold: bool = False) -> str:
    """Cut a text short with an ellipsis if it is wider than the room for it."""
    if text_width(text, height, bold) <= width:
        return text
    while text and text_width(text + ELLIPSIS, height, bold) > width:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS

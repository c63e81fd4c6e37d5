"""Labels with leaders that neither cross nor overlap.

Labels above a picture step down from left to right, so that each leader drops past the ends of no other
label's words::

    Boards ----------.
    |     Battens ---------.
    |     |     Membrane
    |     |     |

Below a picture the same steps are turned upside down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cladmodel.views.lettering import INK, font

if TYPE_CHECKING:
    from PIL.Image import Image

GAP = 0.45  # clear space about words, as a share of their size


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words, and the place in the picture that they are about.

    Attributes
    ----------
    words : str
    at : (2,) float
        From the left and from the top. [pixels]
    """

    words: str
    at: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label with its words set down.

    Attributes
    ----------
    label : Label
    box : (4,) float
        Left, top, right, bottom of the words. [pixels]
    knee : float
        x of the upright leader. [pixels]
    """

    label: Label
    box: tuple[float, float, float, float]
    knee: float


def stair(labels: Sequence[Label], *, edge: float, above: bool, size: int, width: int) -> list[Placed]:
    """Set labels down in steps.

    Parameters
    ----------
    labels : sequence of Label
        In any order.
    edge : float
        y of the top of the top row (above) or of the bottom of the bottom row (below). [pixels]
    above : bool
        Whether they stand above or below what they are about.
    size : int
        Of the letters. [pixels]
    width : int
        Of the picture. [pixels]

    Returns
    -------
    list of Placed
        From left to right; leaders are kept at least a letter's height apart.
    """
    pad = size * GAP
    row = size * 1.55
    ordered = sorted(labels, key=lambda one: one.at[0])
    placed: list[Placed] = []
    last = -float("inf")
    for index, label in enumerate(ordered):
        knee = max(label.at[0], last + 1.6 * size)
        last = knee
        length = font(size).getlength(label.words)
        top = edge + index * row if above else edge - size * 1.2 - index * row
        left = min(knee + pad, width - pad - length)  # moved back over the leader if the edge is near
        placed.append(Placed(label=label, box=(left, top, left + length, top + size * 1.2), knee=knee))
    return placed


def leader_start(placed: Placed) -> float:
    """Height where a leader begins: beside its words, or at their edge if they stand over it. [pixels]"""
    left, top, right, bottom = placed.box
    if left <= placed.knee <= right:
        return bottom if placed.label.at[1] > top else top
    return (top + bottom) / 2


def rows_high(count: int, size: int) -> float:
    """Height that some labels in steps need. [pixels]"""
    return size * 1.2 + (count - 1) * size * 1.55 if count else 0.0


def draw(image: Image, placed: Sequence[Placed], *, size: int, ink: tuple[int, int, int] = INK) -> None:
    """Draw labels and their leaders on a picture, in place."""
    from PIL import ImageDraw

    pen = ImageDraw.Draw(image)
    thick = max(1, round(size / 13))
    dot = size * 0.20
    for one in placed:
        x, y = one.label.at
        start = leader_start(one)
        slant = 1.4 * abs(one.knee - x)
        turn = max(y - slant, start) if start < y else min(y + slant, start)
        pen.line([(one.knee, start), (one.knee, turn), (x, y)], fill=ink, width=thick, joint="curve")
        pen.ellipse((x - dot * 1.5, y - dot * 1.5, x + dot * 1.5, y + dot * 1.5), fill=(255, 255, 255))
        pen.ellipse((x - dot, y - dot, x + dot, y + dot), fill=ink)
        pen.text((one.box[0], one.box[1]), one.label.words, font=font(size), fill=ink)

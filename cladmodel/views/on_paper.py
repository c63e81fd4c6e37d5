"""A stretch of wall on white paper, its steps numbered and named: layers and cut-away are drawn so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from cladmodel.views import finishes
from cladmodel.views.backdrop import backdrop
from cladmodel.views.cameras import Camera
from cladmodel.views.colour import encode, light_of
from cladmodel.views.daylight import Daylight
from cladmodel.views.finishes import Finish
from cladmodel.views.labels import Label, Placed, draw, rows_high, stair
from cladmodel.views.lettering import INK, PAPER, font, shortened, to_image
from cladmodel.views.palette import palette
from cladmodel.views.rendering import Picture, render
from cladmodel.views.staging import Stage
from cladmodel.views.tone import develop, undevelop

if TYPE_CHECKING:
    from PIL.Image import Image

Box = tuple[float, float, float, float]

EXPOSURE = 0.80
RAYS = 8
LIGHT = Daylight(sun=(1.55, 1.50, 1.42), sky=1.15)  # softer than a preview's, so that shade stays readable
TITLE_ROWS = 2.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing that goes up, for one label.

    Attributes
    ----------
    words : str
        Without its number.
    marks : frozenset of str
        Pieces any of which the leader may end on.
    above : bool
        Whether its label stands above the wall.
    """

    words: str
    marks: frozenset[str]
    above: bool


def letter_size(size: tuple[int, int]) -> int:
    """Height of the letters on a picture of this size. [pixels]"""
    return max(7, round(size[1] / 50))


def room_left(steps: Sequence[Step], size: tuple[int, int], sides: tuple[float, float]) -> Box:
    """Left, top, right and bottom of what the labels leave of a picture. [pixels]

    Parameters
    ----------
    steps : sequence of Step
    size : (2,) int
        [pixels]
    sides : (2,) float
        Left and right edge, as parts of the width.
    """
    letters = letter_size(size)
    above = rows_high(sum(s.above for s in steps), letters) + letters * (TITLE_ROWS + 0.6)
    below = rows_high(sum(not s.above for s in steps), letters) + letters * 1.4
    return (size[0] * sides[0], above, size[0] * sides[1], max(size[1] - below, above + 10))


def on_paper(
    scene: Stage,
    camera: Camera,
    finish: Finish | str,
    steps: Sequence[Step],
    words: tuple[str, str],
    *,
    sun: tuple[float, float],
    finest: float,
    size: tuple[int, int],
    supersample: int,
    seed: int,
) -> Image:
    """Draw a stage on paper, with its labels.

    Parameters
    ----------
    scene : Stage
        With its floor of paper.
    camera : Camera
    finish : Finish or str
    steps : sequence of Step
    words : (2,) str
        Heading and the job's title.
    sun : (2,) float
        Azimuth and altitude. [rad]
    finest : float
        Smallest thing that one pixel can show. [mm]
    size : (2,) int
        [pixels]
    supersample : int
        Rays through each pixel, squared.
    seed : int

    Returns
    -------
    Image
    """
    light = Daylight(azimuth=sun[0], altitude=sun[1], sun=LIGHT.sun, sky=LIGHT.sky, cloud=0.0)
    paper = tuple(undevelop(float(v), EXPOSURE) for v in light_of(PAPER))
    picture = render(
        scene,
        palette(scene, finishes.as_finish(finish), finest=finest / supersample),
        camera,
        size,
        daylight=light,
        backdrop=backdrop(light, seed),
        supersample=supersample,
        rays=RAYS,
        plain=(paper[0], paper[1], paper[2]),
    )
    image = to_image(encode(develop(picture.light, EXPOSURE)))
    letters = letter_size(size)
    for placed in place_labels(steps, scene, picture, size, letters):
        draw(image, placed, size=letters)
    headline(image, *words, letters)
    return image


def place_labels(
    steps: Sequence[Step], scene: Stage, picture: Picture, size: tuple[int, int], letters: int
) -> list[list[Placed]]:
    """Set down the labels above and below a picture."""
    out: list[list[Placed]] = []
    for above in (True, False):
        found = []
        for number, step in enumerate(steps, start=1):
            at = _anchor(step, scene, picture, above=above) if step.above is above else None
            if at is not None:
                found.append(Label(words=f"{number}  {step.words}", at=at))
        edge = letters * TITLE_ROWS if above else size[1] - letters * 0.9
        out.append(stair(found, edge=edge, above=above, size=letters, width=size[0]))
    return out


def _anchor(step: Step, scene: Stage, picture: Picture, *, above: bool) -> tuple[float, float] | None:
    """Where a leader ends: well inside what is seen of a step, and towards its label."""
    from scipy.ndimage import distance_transform_edt

    wanted = np.array([mark in step.marks for mark in scene.marks])
    piece = np.where(picture.triangle >= 0, scene.piece[np.maximum(picture.triangle, 0)], -1)
    seen: NDArray[np.bool_] = (piece >= 0) & wanted[np.maximum(piece, 0)]
    if not seen.any():
        return None
    height = seen.shape[0]
    rows, columns = np.nonzero(seen)
    low, left = rows.min(), columns.min()
    part = seen[low : rows.max() + 1, left : columns.max() + 1]
    inset = np.minimum(distance_transform_edt(np.pad(part, 1)), height / 60)
    towards = rows / height if above else 1 - rows / height
    # Deep inside counts most; then near the label; then near the middle of what is seen.
    middle = np.abs(columns - np.median(columns)) / seen.shape[1]
    score = inset[rows - low + 1, columns - left + 1] / (height / 60) - 0.9 * towards - 0.6 * middle
    best = int(np.argmax(score))
    return float(columns[best]) + 0.5, float(rows[best]) + 0.5


def headline(image: Image, heading: str, title: str, letters: int) -> None:
    """Write a heading and the job's title at the top left; `letters` in pixels."""
    from PIL import ImageDraw

    pen = ImageDraw.Draw(image)
    large = round(letters * 1.35)
    pen.text((letters, letters * 0.7), heading, font=font(large, bold=True), fill=INK)
    start = letters + font(large, bold=True).getlength(heading) + letters
    room = image.size[0] - start - letters
    words = shortened(title, font(letters), room)
    pen.text((start, letters * 0.7 + large * 0.22), words, font=font(letters), fill=(90, 93, 96))

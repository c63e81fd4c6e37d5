"""Every board of a wall coloured by one figure, with its scale, its limit and the worst board pointed out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from cladmodel.errors import OutputError
from cladmodel.model import Kind, Model, Part
from cladmodel.views.arrays import Ints
from cladmodel.views.colour import hex_of, light_of
from cladmodel.views.flat import draw
from cladmodel.views.lettering import FAINT, INK, PAPER, fits, font, save, shortened, to_image
from cladmodel.views.named import wall_named
from cladmodel.views.sheet import corners, elevations, laid_out

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

# Dark is worse on both sides of the limit, so that the picture reads in black and white too. Within the limit
# the colours run from blue to yellow, beyond it from vermilion to dark red: pairs that people with any of the
# common kinds of colour blindness tell apart. Ends chosen by eye after the cividis and Okabe-Ito sets.
WITHIN = ("#5a77a0", "#8b8f86", "#c9b867", "#fbe65a")  # from the limit to the best
BEYOND = ("#7a1f00", "#c04a10")  # from the worst to the limit
NO_FIGURE = (225, 224, 220)
OTHER = (190, 190, 186)
SMALLEST, LARGEST = 8, 15  # letters of the figures on boards [pixels at 1000 rows]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Colours of one figure.

    Attributes
    ----------
    low, high, limit : float
        Ends of the scale, and where right turns to wrong.
    worse : str
        ``low`` or ``high``.
    unit : str
    """

    low: float
    high: float
    limit: float
    worse: Literal["low", "high"]
    unit: str

    def is_wrong(self, value: float) -> bool:
        """Whether a value is beyond the limit, by more than the last figure shown could hide."""
        by = self.limit - value if self.worse == "low" else value - self.limit
        return by > WHISKER

    def colour(self, value: float) -> tuple[int, int, int]:
        """Red, green, blue, 0 to 255."""
        clipped = float(np.clip(value, self.low, self.high))
        worst, best = (self.low, self.high) if self.worse == "low" else (self.high, self.low)
        if self.is_wrong(value):
            share, stops = _share(clipped, worst, self.limit), list(BEYOND)
        else:
            share, stops = _share(clipped, self.limit, best), list(WITHIN)
        light = np.stack([light_of(stop) for stop in stops])
        at = np.linspace(0.0, 1.0, len(stops))
        mixed = np.array([np.interp(share, at, light[:, k]) for k in range(3)], np.float32)
        text = hex_of(mixed)
        return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)

    def words(self, value: float) -> str:
        """Value with the decimals of its unit."""
        if not np.isfinite(value):
            return "no hold"
        return f"{value:.{1 if self.unit == 'mm' else 2}f}"

    def with_unit(self, value: float) -> str:
        """Value and its unit."""
        return f"{self.words(value)} {self.unit}".strip()


WHISKER = 1e-6  # float noise [the figure's unit]


def _share(value: float, start: float, end: float) -> float:
    return 1.0 if start == end else float(np.clip((value - start) / (end - start), 0.0, 1.0))


def scale_of(values: Sequence[float], limit: float, worse: Literal["low", "high"], unit: str) -> Scale:
    """Span a scale over some values and the limit, with a little room at both ends.

    Parameters
    ----------
    values : sequence of float
        Those that are not finite are left out.
    limit : float
    worse : str
    unit : str
    """
    finite = [v for v in values if np.isfinite(v)]
    low, high = min([*finite, limit]), max([*finite, limit])
    room = 0.06 * (high - low) or 0.5 * abs(limit) or 1.0
    floor = 0.0 if low >= 0 else -np.inf
    return Scale(low=max(low - room, floor), high=high + room, limit=limit, worse=worse, unit=unit)


def measured(
    model: Model,
    figures: Mapping[str, float],
    *,
    title: str,
    unit: str,
    limit: float,
    worse: Literal["low", "high"] = "low",
    path: Path | str,
    wall: str | None = None,
    from_corners: bool = False,
    size: tuple[int, int] = (1600, 1000),
) -> Path:
    """Colour every board by a figure.

    Parameters
    ----------
    model : Model
    figures : mapping of str to float
        By mark of board; a board without one is left pale. Infinite for one that holds nothing.
    title, unit : str
        What the figure is, and what it is counted in.
    limit : float
    worse : str
        ``low`` if a figure under the limit is wrong, ``high`` if one over it is.
    path : Path or str
        PNG file to write.
    wall : str, optional
        Only this wall; left out, all walls, side by side, each from straight in front.
    from_corners : bool
        A whole building from two opposite corners instead.
    size : (2,) int
        Columns and rows. [pixels]

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If there is no such wall, no board has a figure, or the file cannot be written.
    PictureError
        If there is no OpenGL on this machine.
    """
    from PIL import ImageDraw

    walls = _walls(model, wall)
    boards = [p for p in model.of_kind(Kind.BOARD) if p.wall in walls]
    have = {p.mark: float(figures[p.mark]) for p in boards if p.mark in figures}
    strange = sorted(set(figures) - {p.mark for p in model.of_kind(Kind.BOARD)})
    if strange:
        raise OutputError(f"figures: no such boards: {', '.join(strange[:5])}")
    if not have:
        raise OutputError(f"{title}: no board has this figure")
    scale = scale_of(list(have.values()), limit, worse, unit)
    worst = (min if worse == "low" else max)(have, key=have.__getitem__)
    letters = max(9, round(size[1] / 58))

    def colour(part: Part) -> tuple[int, int, int]:
        if part.kind is not Kind.BOARD:
            return OTHER
        return scale.colour(have[part.mark]) if part.mark in have else NO_FIGURE

    top = round(letters * 5.8)
    room = (size[0] - 4 * letters, max(size[1] - top - round(letters * 7.4), 16))
    patches = corners(model, colour) if from_corners else elevations(model, walls, colour)
    above = letters * 1.5 if any(patch.name for patch in patches) else 0.0
    placed, _ = laid_out(patches, room, letters * 2.0, above)
    step = np.array([2.0 * letters, -top])
    placed = [patch.moved(step) for patch in placed]
    pieces = [piece for patch in placed for piece in patch.pieces]
    marks = [mark for patch in placed for mark in patch.marks]
    shown, seen = draw(pieces, size, PAPER)
    image = to_image((shown / 255).astype(np.float32))
    pen = ImageDraw.Draw(image)
    for patch in placed:
        low, high = patch.span
        pen.text((low[0], -high[1] - letters * 1.4), patch.name, INK, font(letters))
    _figures(image, marks, seen, scale, have)
    where = seen == marks.index(worst)
    _point_out(
        image,
        where,
        f"worst: {worst}  {scale.with_unit(have[worst])}",
        letters,
        (top, size[1] - round(letters * 6.6)),
    )
    _heading(pen, model, scale, have, worst, title, letters, size)
    _scale_bar(pen, scale, letters, size, pale=len(have) < len(boards))
    return save(image, path)


def _walls(model: Model, wall: str | None) -> tuple[str, ...]:
    if wall is None:
        return tuple(w.name for w in model.walls)
    return (wall_named(model, wall).name,)


def _heading(
    pen: ImageDraw,
    model: Model,
    scale: Scale,
    have: Mapping[str, float],
    worst: str,
    title: str,
    letters: int,
    size: tuple[int, int],
) -> None:
    large = round(letters * 1.35)
    room = size[0] - 2 * letters
    pen.text(
        (letters, letters * 0.7), shortened(title, font(large, bold=True), room), INK, font(large, bold=True)
    )
    wrong = sum(scale.is_wrong(value) for value in have.values())
    side = "at least" if scale.worse == "low" else "at most"
    verdict = "none is beyond it" if not wrong else f"{wrong} {'is' if wrong == 1 else 'are'} beyond it"
    words = (
        f"{model.title}: {len(have)} boards measured; {side} {scale.limit:g} {scale.unit}".rstrip()
        + f" is wanted: {verdict}. Worst: {worst}, {scale.with_unit(have[worst])}."
    )
    pen.text((letters, letters * 2.6), shortened(words, font(letters), room), FAINT, font(letters))


def _figures(image: Image, marks: Sequence[str], seen: Ints, scale: Scale, have: Mapping[str, float]) -> None:
    """Print each board's figure on it where there is room."""
    from PIL import ImageDraw
    from scipy.ndimage import find_objects

    pen = ImageDraw.Draw(image)
    areas = find_objects(seen + 1)
    tall = [
        area[0].stop - area[0].start
        for mark, area in zip(marks, areas, strict=False)
        if area and mark in have
    ]
    if not tall:
        return
    by_size = image.size[1] / 1000
    size = round(float(np.clip(0.55 * np.median(tall), SMALLEST * by_size, LARGEST * by_size)))
    letters = font(max(size, 6))
    for index, (mark, area) in enumerate(zip(marks, areas, strict=False)):
        if area is None or mark not in have:
            continue
        words = scale.words(have[mark])
        box = letters.getbbox(words)
        place = fits(seen[area] == index, (round(box[2] - box[0]) + 4, round(box[3] - box[1]) + 3))
        if place is None:
            continue
        x, y = area[1].start + place[0], area[0].start + place[1]
        dark = np.dot(scale.colour(have[mark]), (0.299, 0.587, 0.114)) < 130  # weights of BT.601, from memory
        fill = (255, 255, 255) if dark else INK
        pen.text((x - (box[0] + box[2]) / 2, y - (box[1] + box[3]) / 2), words, fill, letters)


def _point_out(
    image: Image, mask: NDArray[np.bool_], words: str, letters: int, between: tuple[int, int]
) -> None:
    """Ring the worst board and lead to its name above or below all walls.

    Parameters
    ----------
    image : Image
        Changed in place.
    mask : (rows, columns) bool
        Where the board is seen.
    words : str
    letters : int
        [pixels]
    between : (2,) int
        Top and bottom of the room for walls. [pixels]
    """
    from PIL import Image as Images
    from PIL import ImageDraw
    from scipy.ndimage import binary_dilation

    if not mask.any():
        return
    thick = max(2, round(letters / 8))
    rows, columns = np.nonzero(mask)
    reach = 3 * thick
    near = np.s_[
        max(rows.min() - reach, 0) : rows.max() + reach + 1,
        max(columns.min() - reach, 0) : columns.max() + reach + 1,
    ]
    pixels = np.array(image)
    grown = binary_dilation(mask[near], iterations=thick)
    pixels[near][binary_dilation(grown, iterations=max(1, thick // 2)) & ~mask[near]] = (255, 255, 255)
    pixels[near][grown & ~mask[near]] = (0, 0, 0)
    image.paste(Images.fromarray(pixels))
    pen = ImageDraw.Draw(image)
    bold = font(letters, bold=True)
    box = bold.getbbox(words)
    wide, tall = box[2] - box[0], box[3] - box[1]
    up = bool(rows.mean() < sum(between) / 2)
    edge = between[0] - tall - 4 if up else between[1] + 4
    x = float(np.quantile(columns, 0.2))  # clear of the figures, which stand in the middle
    left = float(np.clip(x - wide / 2, letters, max(image.size[0] - wide - letters, letters)))
    here = rows[np.abs(columns - x) < 1.0]
    start, end = (edge + tall + 3, here.min() - thick) if up else (edge - 3, here.max() + thick)
    pen.line([(x, start), (x, end)], fill=(255, 255, 255), width=thick + 2)
    pen.line([(x, start), (x, end)], fill=(0, 0, 0), width=thick)
    pen.text((left - box[0], edge - box[1]), words, (0, 0, 0), bold)


def _scale_bar(pen: ImageDraw, scale: Scale, letters: int, size: tuple[int, int], *, pale: bool) -> None:
    """Draw the colours with their figures below, and the limit above."""
    small = font(letters)
    left, right = letters, letters + round(size[0] * 0.56)
    top = size[1] - round(letters * 3.3)
    tall = round(letters * 1.1)

    def at(value: float) -> float:
        return left + (value - scale.low) / (scale.high - scale.low) * (right - left)

    for x in range(left, right):
        value = scale.low + (x + 0.5 - left) / (right - left) * (scale.high - scale.low)
        pen.line([(x, top), (x, top + tall)], fill=scale.colour(value))
    pen.rectangle((left, top, right, top + tall), outline=INK)
    for value in _ticks(scale.low, scale.high):
        words = f"{value:g}"
        here = at(value)
        pen.line([(here, top + tall), (here, top + tall + letters * 0.3)], fill=INK)
        pen.text((here - small.getlength(words) / 2, top + tall + letters * 0.35), words, INK, small)
    mark = at(scale.limit)
    for ink, thick in (((255, 255, 255), 5), ((0, 0, 0), 3)):
        pen.line([(mark, top - letters * 0.5), (mark, top + tall + letters * 0.3)], fill=ink, width=thick)
    side = "limit, at least" if scale.worse == "low" else "limit, at most"
    words = f"{side} {scale.limit:g} {scale.unit}".rstrip()
    from_left = float(
        np.clip(mark - small.getlength(words) / 2, left, max(right - small.getlength(words), left))
    )
    pen.text((from_left, top - letters * 1.75), words, INK, small)
    pen.text((right + letters * 0.7, top), scale.unit, INK, small)
    if pale:
        edge = right + letters * 0.7
        pen.rectangle(
            (edge, top + tall + letters * 0.5, edge + letters, top + tall + letters * 1.4), NO_FIGURE, INK
        )
        pen.text((edge + letters * 1.4, top + tall + letters * 0.35), "not measured", FAINT, small)


def _ticks(low: float, high: float) -> list[float]:
    """Round values within a scale, four to nine of them."""
    rough = (high - low) / 6
    power = 10.0 ** np.floor(np.log10(rough))
    step = next(power * k for k in (1, 2, 5, 10) if power * k >= rough)
    first = np.ceil(low / step)
    return [float(round(k * step, 10)) for k in np.arange(first, np.floor(high / step) + 1)]

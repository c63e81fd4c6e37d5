"""Several finishes of one job side by side, each named."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.model import Model
from cladmodel.views import cameras, finishes
from cladmodel.views.cameras import Camera
from cladmodel.views.daylight import Daylight
from cladmodel.views.finishes import Finish
from cladmodel.views.lettering import FAINT, INK, PAPER, font, save, shortened, to_image
from cladmodel.views.preview import shoot, with_surroundings

if TYPE_CHECKING:
    from PIL.Image import Image

MOST = 16  # finishes on one sheet; more are too small to compare
FOOT = "Screen colours are indicative"


def compare(
    model: Model,
    chosen: Sequence[Finish | str],
    path: Path | str,
    *,
    size: tuple[int, int] = (1600, 1000),
    camera: Camera | None = None,
    daylight: Daylight | None = None,
    supersample: int = 2,
    seed: int = 1,
    dated: str = "",
) -> Path:
    """Draw one job in several finishes on one sheet.

    Parameters
    ----------
    model : Model
    chosen : sequence of Finish or str
        Names as in `finishes.finish`, or finishes.
    path : Path or str
        PNG file to write.
    size : (2,) int
        Of the sheet. [pixels]
    camera, daylight : optional
        As in `preview`, the same for all.
    supersample : int
        Rays through each pixel, squared.
    seed : int
    dated : str
        A date to add at the foot.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If there is nothing to compare, too much, or no such finish; or the file cannot be written.
    """
    from PIL import Image as Images
    from PIL import ImageDraw

    if not 2 <= len(chosen) <= MOST:
        raise OutputError(f"compare: name 2 to {MOST} finishes, not {len(chosen)}")
    named = [finishes.as_finish(one) for one in chosen]
    letters = max(9, round(size[1] / 56))
    boxes = laid_out(len(named), size, letters)
    tile = (boxes[0][2], boxes[0][3])
    if camera is None:
        camera = cameras.three_quarter(model, with_surroundings(model), tile)
    sheet = Images.new("RGB", size, PAPER)
    pen = ImageDraw.Draw(sheet)
    for finish, (left, top, wide, tall) in zip(named, boxes, strict=True):
        shot = shoot(
            model,
            finish,
            size=tile,
            supersample=supersample,
            camera=camera,
            daylight=daylight,
            seed=seed,
        )
        sheet.paste(to_image(shot.shown), (left, top))
        title = shortened(finish.title, font(letters, bold=True), wide)
        pen.text((left, top + tall + letters * 0.25), title, INK, font(letters, bold=True))
        used = font(letters, bold=True).getlength(title) + letters * 0.6
        small = font(max(7, round(letters * 0.72)))
        pen.text(
            (left + used, top + tall + letters * 0.5),
            shortened(finish.standing, small, wide - used),
            FAINT,
            small,
        )
    _foot(sheet, model.title, dated, letters)
    return save(sheet, path, f"{model.title}. {'; '.join(f.title for f in named)}. {FOOT}. {dated}".strip())


def laid_out(count: int, size: tuple[int, int], letters: int) -> list[tuple[int, int, int, int]]:
    """Boxes for some pictures on a sheet, as large as can be for their shape: left, top, width, height.

    Parameters
    ----------
    count : int
    size : (2,) int
        [pixels]
    letters : int
        Size of the words under each. [pixels]
    """
    gap, under, foot = round(letters * 0.8), round(letters * 2.1), round(letters * 2.2)
    shape = 1.6  # width over height that suits most jobs

    def tile(columns: int) -> tuple[int, int]:
        rows = -(-count // columns)
        wide = (size[0] - gap * (columns + 1)) // columns
        tall = (size[1] - foot - gap - rows * (under + gap)) // rows
        return max(wide, 1), max(tall, 1)

    def worth(columns: int) -> float:
        wide, tall = tile(columns)
        return float(min(wide, tall * shape))

    columns = max(range(1, count + 1), key=worth)
    wide, tall = tile(columns)
    rows, columns_of = np.divmod(np.arange(count), columns)
    return [
        (gap + int(c) * (wide + gap), gap + int(r) * (tall + under + gap), wide, tall)
        for r, c in zip(rows, columns_of, strict=True)
    ]


def _foot(sheet: Image, title: str, dated: str, letters: int) -> None:
    from PIL import ImageDraw

    pen = ImageDraw.Draw(sheet)
    small = font(max(8, round(letters * 0.85)))
    words = "  ".join(part for part in (title, FOOT + ".", dated) if part)
    at = (round(letters * 0.8), sheet.size[1] - round(letters * 1.7))
    pen.text(at, shortened(words, small, sheet.size[0] - 2 * letters), FAINT, small)

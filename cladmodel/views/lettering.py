"""Words on pictures, and pictures into PNG files."""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from cladmodel.folders.one_file import write_whole
from cladmodel.views.arrays import Singles

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFont import FreeTypeFont

PAPER, INK, FAINT = "#f5f4f0", (32, 34, 36), (96, 99, 102)
"""Background of what is drawn on paper, letters, and letters of less weight."""


@lru_cache(maxsize=16)
def font(size: int, *, bold: bool = False) -> FreeTypeFont:
    """DejaVu Sans, as matplotlib carries it. `size` in pixels."""
    import matplotlib
    from PIL import ImageFont

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name), size)


def to_image(shown: Singles) -> Image:
    """(rows, columns, 3 or 4) screen values, 0 to 1, as an image; a fourth is how opaque it is."""
    from PIL import Image

    return Image.fromarray((np.clip(shown, 0, 1) * 255 + 0.5).astype(np.uint8))


def caption(shown: Singles, words: str) -> Image:
    """Write some words small in the lower right corner.

    Parameters
    ----------
    shown : (rows, columns, 3) float
        Screen values, 0 to 1.
    words : str
        Nothing is written if empty.
    """
    from PIL import ImageDraw

    image = to_image(shown)
    if not words:
        return image
    width, height = image.size
    size = max(8, round(height / 62))
    while size > 8 and font(size).getlength(words) > 0.9 * width:
        size -= 1
    letters = font(size)
    pad = round(size * 0.5)
    box = letters.getbbox(words)
    x, y = width - box[2] - 2 * pad, height - box[3] - 2 * pad
    shade = ImageDraw.Draw(image, "RGBA")
    shade.rectangle((x - pad, y - pad + box[1], width, height), fill=(20, 22, 20, 120))
    shade.text((x, y), words, font=letters, fill=(255, 255, 255, 235))
    return image


def save(image: Image, path: Path | str, words: str = "") -> Path:
    """Write a PNG file whole or not at all; `words` go into it as its description.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    from PIL.PngImagePlugin import PngInfo

    data = io.BytesIO()
    about = PngInfo()
    if words:
        about.add_itxt("Description", words)
    image.save(data, format="PNG", compress_level=4, pnginfo=about)
    return write_whole(path, data.getvalue())


def shortened(words: str, letters: FreeTypeFont, room: float) -> str:
    """Words cut short to fit a width, with an ellipsis. `room` in pixels."""
    while words and letters.getlength(words) > room:
        words = words[:-2].rstrip(" .") + "…" if len(words) > 2 else ""
    return words


def fits(area: NDArray[np.bool_], box: tuple[int, int]) -> tuple[int, int] | None:
    """Middle of a place where a box lies wholly in an area, near the area's own middle.

    Parameters
    ----------
    area : (rows, columns) bool
    box : (2,) int
        Width and height. [pixels]

    Returns
    -------
    (2,) int or None
        From the left and from the top; None if there is no room.
    """
    from scipy.ndimage import minimum_filter

    wide, tall = box
    if area.shape[0] < tall or area.shape[1] < wide:
        return None
    rows, columns = np.nonzero(minimum_filter(area, size=(tall, wide), mode="constant", cval=0))
    if not len(rows):
        return None
    all_rows, all_columns = np.nonzero(area)
    away = (rows - all_rows.mean()) ** 2 + (columns - all_columns.mean()) ** 2
    best = int(np.argmin(away))
    return int(columns[best]), int(rows[best])

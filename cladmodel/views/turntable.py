"""A job turned once round, as a moving picture."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.folders.one_file import write_whole
from cladmodel.model import Model
from cladmodel.views import cameras, finishes
from cladmodel.views.arrays import Floats, Singles
from cladmodel.views.backdrop import backdrop
from cladmodel.views.cameras import Camera
from cladmodel.views.colour import encode
from cladmodel.views.daylight import Daylight
from cladmodel.views.finishes import Finish
from cladmodel.views.lettering import caption
from cladmodel.views.palette import palette
from cladmodel.views.preview import EXPOSURE, caption_of, daylight_on, with_surroundings
from cladmodel.views.rendering import render
from cladmodel.views.staging import stage
from cladmodel.views.tone import develop

if TYPE_CHECKING:
    from PIL.Image import Image

RAYS = 6
MOST = 180  # frames
KINDS = (".gif", ".webp")


def turntable(
    model: Model,
    finish: Finish | str,
    path: Path | str,
    *,
    size: tuple[int, int] = (640, 400),
    frames: int = 24,
    seconds: float = 6.0,
    supersample: int = 2,
    daylight: Daylight | None = None,
    seed: int = 1,
) -> Path:
    """Draw a job from all round, as an animation that repeats.

    Parameters
    ----------
    model : Model
    finish : Finish or str
    path : Path or str
        A .gif, or a .webp: smaller, and with all its colours.
    size : (2,) int
        [pixels]
    frames : int
        Steps of one turn.
    seconds : float
        For one turn.
    supersample : int
        Rays through each pixel, squared.
    daylight : Daylight, optional
        As in `preview`; it stands still while the viewer walks round.
    seed : int

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If it is neither kind of file, the frames are too few or too many, or the file cannot be written.
    """
    kind = Path(path).suffix.lower()
    if kind not in KINDS:
        raise OutputError(f"{path}: a turn is written as {' or '.join(KINDS)}. Give it that ending.")
    if not 4 <= frames <= MOST or seconds <= 0:
        raise OutputError(f"turn: 4 to {MOST} frames in more than 0 seconds, not {frames} in {seconds:g}")
    chosen = finishes.as_finish(finish)
    words = caption_of(chosen)
    pictures = [
        caption(shown, words) for shown in _shots(model, chosen, size, frames, supersample, daylight, seed)
    ]
    return write_whole(path, _animated(pictures, kind, seconds))


def _shots(
    model: Model,
    finish: Finish,
    size: tuple[int, int],
    frames: int,
    supersample: int,
    daylight: Daylight | None,
    seed: int,
) -> list[Singles]:
    parts = with_surroundings(model)
    points = cameras.points_of(model, parts)
    walk = round_it(model, points, frames, size)
    light = daylight_on(model) if daylight is None else daylight
    shown = [p for p in parts if p.section != "grass"]
    scene = stage(model, shown, model.fixings, seed, cameras.ground_level(model))
    finest = min(camera.pixel_size(points, size) for camera in walk) / supersample
    colours, sky = palette(scene, finish, finest=finest), backdrop(light, seed)
    return [
        encode(
            develop(
                render(
                    scene,
                    colours,
                    camera,
                    size,
                    daylight=light,
                    backdrop=sky,
                    supersample=supersample,
                    rays=RAYS,
                ).light,
                EXPOSURE * light.exposure,
            )
        )
        for camera in walk
    ]


def round_it(model: Model, points: Floats, frames: int, size: tuple[int, int]) -> list[Camera]:
    """Cameras on a ring, all with one window that holds everything in every frame.

    Parameters
    ----------
    model : Model
        For its eaves and ground.
    points : (n, 3) float
        [mm, building axes]
    frames : int
    size : (2,) int
        [pixels]
    """
    low, high = points.min(axis=0), points.max(axis=0)
    middle = (low + high) / 2
    reach = float(np.linalg.norm((high - low)[[0, 2]]))
    start = cameras.facing(model.walls[0]) - np.radians(33.0)
    ring = []
    for turn in start + np.arange(frames) * 2 * np.pi / frames:
        x, _, z = middle + np.array([np.sin(turn), 0.0, np.cos(turn)]) * 1.28 * reach
        eye = (float(x), cameras.eye_height(model), float(z))
        camera = Camera(eye=eye, azimuth=float(turn) + np.pi, window=(-1.0, 1.0, -1.0, 1.0))
        local = (points - np.array(eye)) @ camera.axes.T
        plane = local[:, :2] / local[:, 2:]
        ends = (*plane.min(axis=0).tolist(), *plane.max(axis=0).tolist())
        ring.append((camera, ends))
    every = np.array([ends for _, ends in ring])
    wide = float(np.abs(every[:, [0, 2]]).max()) * (1 + 2 * cameras.MARGIN)
    bottom, top = float(every[:, 1].min()), float(every[:, 3].max())
    pad = cameras.MARGIN * (top - bottom)
    window = (-wide, wide, bottom - pad, top + pad)
    return [replace(camera, window=window).fitted(size) for camera, _ in ring]


def _animated(pictures: list[Image], kind: str, seconds: float) -> bytes:
    from PIL import Image as Images

    lasts = round(1000 * seconds / len(pictures))
    data = io.BytesIO()
    if kind == ".webp":
        first, *rest = pictures
        first.save(
            data,
            format="WEBP",
            save_all=True,
            append_images=rest,
            duration=lasts,
            loop=0,
            quality=82,
            method=4,
        )
        return data.getvalue()
    # One set of colours for the whole turn, or they would flicker.
    strip = Images.new("RGB", (pictures[0].width, pictures[0].height * min(len(pictures), 6)))
    for row in range(strip.height // pictures[0].height):
        strip.paste(pictures[row * len(pictures) // 6 % len(pictures)], (0, row * pictures[0].height))
    colours = strip.quantize(255, dither=Images.Dither.NONE)
    first, *rest = [p.quantize(palette=colours, dither=Images.Dither.FLOYDSTEINBERG) for p in pictures]
    first.save(data, format="GIF", save_all=True, append_images=rest, duration=lasts, loop=0, optimize=False)
    return data.getvalue()

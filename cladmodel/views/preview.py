"""The picture a client is shown: the clad wall in daylight, in the finish that was chosen."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from cladmodel.model import Model, Part
from cladmodel.parts.surroundings import surroundings
from cladmodel.views import cameras, finishes
from cladmodel.views.backdrop import backdrop
from cladmodel.views.cameras import Camera
from cladmodel.views.colour import encode
from cladmodel.views.daylight import Daylight
from cladmodel.views.finishes import Finish
from cladmodel.views.lettering import caption, save
from cladmodel.views.palette import palette
from cladmodel.views.rendering import develop, render
from cladmodel.views.staging import stage

EXPOSURE = 0.76  # by eye, so that bare boards in the sun are bright and not burnt out
RAYS = 16
CAPTION = "Illustrative finish - screen colours are indicative"


def preview(
    model: Model,
    finish: Finish | str,
    path: Path | str,
    *,
    size: tuple[int, int] = (1600, 1000),
    supersample: int = 2,
    camera: Camera | None = None,
    daylight: Daylight | None = None,
    seed: int = 1,
    captioned: bool = True,
) -> Path:
    """Draw the finished wall.

    Parameters
    ----------
    model : Model
        Its surroundings are made here if it has none.
    finish : Finish or str
        Or the name of one, or a hex colour of paint.
    path : Path or str
        PNG file to write.
    size : (2,) int
        Columns and rows. [pixels]
    supersample : int
        Rays through each pixel, squared.
    camera : Camera, optional
        The whole, from the left corner of the first wall, if not given.
    daylight : Daylight, optional
        A clear day with the sun to the right of the first wall if not given.
    seed : int
        Deals the boards other strips of grain.
    captioned : bool
        Write in a corner that the finish is illustrative.

    Returns
    -------
    Path
        The file written.
    """
    chosen = finishes.finish(finish) if isinstance(finish, str) else finish
    parts = with_surroundings(model)
    camera = (cameras.three_quarter(model, parts, size) if camera is None else camera).fitted(size)
    daylight = daylight_on(model) if daylight is None else daylight
    scene = stage(
        model, [p for p in parts if p.section != "grass"], model.fixings, seed, cameras.ground_level(model)
    )
    picture = render(
        scene,
        palette(scene, chosen),
        camera,
        size,
        daylight=daylight,
        backdrop=backdrop(daylight, seed),
        supersample=supersample,
        rays=RAYS,
    )
    shown = encode(develop(picture.light, EXPOSURE))
    words = f"{chosen.title}.  {CAPTION}" if captioned else ""
    return save(caption(shown, words), path)


def with_surroundings(model: Model) -> list[Part]:
    """Every part of a picture of the whole."""
    round_it = model.surroundings or surroundings(model.walls, model.parts)
    return [*model.parts, *round_it]


def daylight_on(model: Model) -> Daylight:
    """A clear day with the sun over the viewer's right shoulder, facing the first wall."""
    outward = model.walls[0].frame[:3, 2]
    facing = float(np.arctan2(outward[0], outward[2]))
    usual = Daylight()
    return Daylight(azimuth=facing + usual.azimuth, altitude=usual.altitude)

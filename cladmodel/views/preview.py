"""The picture a client is shown: the clad wall in daylight, in the finish that was chosen."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cladmodel.model import Model, Part
from cladmodel.parts.surroundings import surroundings
from cladmodel.views import cameras, finishes
from cladmodel.views.arrays import Singles
from cladmodel.views.backdrop import backdrop
from cladmodel.views.cameras import Camera
from cladmodel.views.colour import encode
from cladmodel.views.daylight import Daylight
from cladmodel.views.finishes import Finish
from cladmodel.views.lettering import caption, save, to_image
from cladmodel.views.palette import palette
from cladmodel.views.rendering import Picture, render
from cladmodel.views.staging import Stage, stage
from cladmodel.views.tone import develop

EXPOSURE = 0.76  # by eye, so that bare boards in the sun are bright and not burnt out
RAYS = 16
QUICK_RAYS = 6
UNSEEN = ("grass", "bank")  # what a picture without a background leaves out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """One picture before lettering, and what it was taken of.

    Attributes
    ----------
    stage : Stage
    camera : Camera
    picture : Picture
    exposure : float
    """

    stage: Stage
    camera: Camera
    picture: Picture
    exposure: float = EXPOSURE

    @property
    def cut_out(self) -> Singles:
        """(rows, columns, 4) float: screen values with how much of each pixel is covered, 0 to 1."""
        cover = np.clip(self.picture.cover, 0.0, 1.0)[..., None]
        whole = np.asarray(self.picture.light / np.maximum(cover, 1e-3), np.float32)
        return np.concatenate([encode(develop(whole, self.exposure)) * (cover > 0), cover], axis=-1)

    @property
    def shown(self) -> Singles:
        """(rows, columns, 3) float: screen values, 0 to 1."""
        return encode(develop(self.picture.light, self.exposure))


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
    dated: str = "",
    quick: bool = False,
    transparent: bool = False,
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
        Write in a corner what the finish is and that its colours are indicative.
    dated : str
        A date to add to the caption.
    quick : bool
        Fewer rays: rougher shade, for looking at while choosing. `supersample` is then not heeded.
    transparent : bool
        No sky and no lawn, and nothing where they were; the caption goes into the file's description alone.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If there is no such finish, or the file cannot be written.
    PictureError
        If this machine cannot follow rays.
    """
    chosen = finishes.as_finish(finish)
    shot = shoot(
        model,
        chosen,
        size=size,
        supersample=supersample,
        quick=quick,
        camera=camera,
        daylight=daylight,
        seed=seed,
        transparent=transparent,
    )
    words = caption_of(chosen, dated)
    if transparent:
        return save(to_image(shot.cut_out), path, words)
    return save(caption(shot.shown, words if captioned else ""), path, words)


def caption_of(finish: Finish, dated: str = "") -> str:
    """Say what a finish is and what its colours are worth, in one line."""
    when = f"  {dated}" if dated else ""
    return f"{finish.title}.  {finish.standing} - screen colours are indicative.{when}"


def shoot(
    model: Model,
    finish: Finish,
    *,
    size: tuple[int, int],
    supersample: int = 2,
    camera: Camera | None = None,
    daylight: Daylight | None = None,
    seed: int = 1,
    quick: bool = False,
    transparent: bool = False,
) -> Taken:
    """Take one picture of the finished wall; see `preview`."""
    supersample = 1 if quick else supersample
    parts = with_surroundings(model)
    camera = (cameras.three_quarter(model, parts, size) if camera is None else camera).fitted(size)
    daylight = daylight_on(model) if daylight is None else daylight
    # The lawn is laid to the horizon by the stage instead.
    shown = [p for p in parts if p.section != "grass"]
    scene = stage(model, shown, model.fixings, seed, cameras.ground_level(model))
    finest = camera.pixel_size(cameras.points_of(model, parts), size) / supersample
    picture = render(
        scene,
        palette(scene, finish, finest=finest),
        camera,
        size,
        daylight=daylight,
        backdrop=backdrop(daylight, seed),
        supersample=supersample,
        rays=QUICK_RAYS if quick else RAYS,
        quick=quick,
        unseen=np.array([section in UNSEEN for section in scene.section]) if transparent else None,
    )
    return Taken(stage=scene, camera=camera, picture=picture, exposure=EXPOSURE * daylight.exposure)


def with_surroundings(model: Model) -> list[Part]:
    """Every part of a picture of the whole."""
    round_it = model.surroundings or surroundings(model.walls, model.parts)
    return [*model.parts, *round_it]


def daylight_on(model: Model) -> Daylight:
    """A clear day with the sun over the viewer's right shoulder, facing the first wall."""
    facing = cameras.facing(model.walls[0])
    usual = Daylight()
    return Daylight(azimuth=facing + usual.azimuth, altitude=usual.altitude)

"""Showing a job: one picture, the client's page, one exported file."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cladmodel.errors import OutputError, PictureError, unseen

if TYPE_CHECKING:
    from cladmodel.model import Model
    from cladmodel.scene.job import Scene
    from cladmodel.schedules.cutplan import CutSheet
    from cladmodel.views.daylight import Daylight
    from cladmodel.views.finishes import Finish

Say = Callable[[str], None]
"""Who is told each step as it begins."""


def draw_preview(scene: Scene, model: Model, path: Path) -> None:
    """Draw the clad wall in daylight, in the scene's finish.

    Parameters
    ----------
    scene : Scene
    model : Model
    path : Path

    Raises
    ------
    PictureError
        If this machine cannot draw it.
    """
    from cladmodel.looks import finish_of
    from cladmodel.views.preview import preview

    preview(model, finish_of(scene), path)


def draw_layers(scene: Scene, model: Model, path: Path) -> None:
    """Draw the wall peeled back layer by layer.

    Parameters
    ----------
    scene : Scene
    model : Model
    path : Path

    Raises
    ------
    PictureError
        If this machine cannot draw it.
    """
    from cladmodel.looks import finish_of
    from cladmodel.views.layers import layers

    layers(model, path, finish=finish_of(scene))


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """How a picture is taken.

    Attributes
    ----------
    view : str
        A view's name, as in ``south left``; or ``layers``, ``cut`` or ``turn``; or a camera's five numbers.
        Empty for the whole from the left corner of the first wall.
    finishes : tuple of str
        Instead of the scene's own; more than one are compared on one sheet.
    light : str
        ``morning``, ``noon``, ``low evening`` or ``overcast``, or latitude, longitude, date and hour by
        commas; empty for a clear day. The plan's first wall is taken to be drawn true to the compass.
    coloured_by : str
        ``lap``, ``tilt`` or ``nail use``: every board coloured by that figure instead.
    size : (2,) int, optional
        1600 x 1000, or 640 x 400 for a turn, unless told. [pixels]
    quick, transparent : bool
    dated : str
        A date for the caption.
    """

    view: str = ""
    finishes: tuple[str, ...] = ()
    light: str = ""
    coloured_by: str = ""
    size: tuple[int, int] | None = None
    quick: bool = False
    transparent: bool = False
    dated: str = ""

    @property
    def pixels(self) -> tuple[int, int]:
        """Size in the end. [pixels]"""
        if self.size is not None:
            return self.size
        return (640, 400) if self.view == "turn" else (1600, 1000)


# Sides of a picture. [pixels] A larger one, 4K and a little, takes more memory than a small machine has; on a
# smaller one no board can be told from the next.
LARGEST = 4_096
LARGEST_TURN = 1_280  # two dozen pictures in one file
SMALLEST = 64


def render(path: Path, picture: Path, shot: Shot) -> None:
    """Draw one picture of a scene.

    Parameters
    ----------
    path : Path
        Scene file.
    picture : Path
        PNG to write; a GIF or WebP for a turn.
    shot : Shot

    Raises
    ------
    SceneError, SettingOutError, SolidError
        If the scene cannot be built.
    PictureError
        If this machine cannot draw it.
    OutputError
        If the file cannot be written or the picture asked for does not exist.
    """
    from cladmodel.build import build_planned, load_scene
    from cladmodel.folders.one_file import need_place, write_whole

    endings = (".gif", ".webp") if shot.view == "turn" else (".png",)
    if picture.suffix.lower() not in endings:
        raise OutputError(
            f"{picture}: this picture is written as {' or '.join(endings)}. Give it that ending."
        )
    largest = LARGEST_TURN if shot.view == "turn" else LARGEST
    if not all(SMALLEST <= side <= largest for side in shot.pixels):
        raise OutputError(f"size = {shot.pixels[0]}x{shot.pixels[1]}: from {SMALLEST} to {largest} each way")
    if any(map(unseen, shot.dated)):
        raise OutputError(f"dated = {shot.dated!r}: must be one line of letters that can be seen")
    need_place(picture)
    scene = load_scene(path)
    model = build_planned(scene).model
    with tempfile.TemporaryDirectory(prefix="cladmodel-") as name:
        scratch = Path(name) / f"picture{picture.suffix.lower()}"
        _draw(scene, model, scratch, shot)
        write_whole(picture, scratch.read_bytes())


def _draw(scene: Scene, model: Model, path: Path, shot: Shot) -> None:
    from cladmodel.looks import finish_of

    if shot.coloured_by:
        _draw_measured(scene, model, path, shot)
        return
    chosen = [named_finish(scene, name) for name in shot.finishes] or [finish_of(scene)]
    if shot.view == "layers":
        from cladmodel.views.layers import layers

        layers(model, path, finish=chosen[0], size=shot.pixels)
    elif shot.view == "cut":
        from cladmodel.views.cutaway import cutaway

        cutaway(model, path, finish=chosen[0], size=shot.pixels)
    elif shot.view == "turn":
        from cladmodel.views.turntable import turntable

        turntable(model, chosen[0], path, size=shot.pixels)
    else:
        _draw_whole(model, path, shot, chosen)


def _draw_whole(model: Model, path: Path, shot: Shot, chosen: list[Finish]) -> None:
    from cladmodel.views.comparing import compare
    from cladmodel.views.named import camera_named
    from cladmodel.views.preview import preview, with_surroundings

    camera = camera_named(model, with_surroundings(model), shot.view, shot.pixels) if shot.view else None
    light = _light(shot.light, model) if shot.light else None
    if len(chosen) > 1:
        compare(model, chosen, path, size=shot.pixels, camera=camera, daylight=light, dated=shot.dated)
        return
    preview(
        model,
        chosen[0],
        path,
        size=shot.pixels,
        camera=camera,
        daylight=light,
        dated=shot.dated,
        quick=shot.quick,
        transparent=shot.transparent,
    )


def _light(words: str, model: Model) -> Daylight:
    """Daylight from a word, or from ``latitude, longitude, date, hour`` of the clock at the place."""
    from cladmodel.views.sun import Place, daylight_at, daylight_in_words, moment

    if "," not in words:
        return daylight_in_words(words, model)
    try:
        north, east, day, hour = (part.strip() for part in words.split(","))
        place, when = Place(latitude=float(north), longitude=float(east)), date.fromisoformat(day)
        return daylight_at(place, moment(when, float(hour), place))
    except ValueError as error:
        raise OutputError(
            f"light = {words!r}: a word, or latitude, longitude, date, hour: '52.1, -1.5, 2026-06-21, 9.5'"
        ) from error


def _draw_measured(scene: Scene, model: Model, path: Path, shot: Shot) -> None:
    from cladmodel.build import exposure_of, rules_of
    from cladmodel.checks.figures import about, board_figures
    from cladmodel.views.measured import measured

    figure = about(shot.coloured_by, rules_of(scene))
    measured(
        model,
        board_figures(model, figure.name, exposure_of(scene)),
        title=figure.title,
        unit=figure.unit,
        limit=figure.limit,
        worse=figure.worse,
        path=path,
        size=shot.pixels,
    )


def named_finish(scene: Scene, name: str) -> Finish:
    """A finish by name or colour on the scene's own timber.

    Parameters
    ----------
    scene : Scene
    name : str
    """
    from cladmodel.views.finishes import finish

    return finish(name, scene.finish.timber)


def export(path: Path, file: Path, *, print_scale: float | None = None, split: str = "") -> None:
    """Write a scene's model in the format that a file's ending asks for.

    Parameters
    ----------
    path : Path
        Scene file.
    file : Path
    print_scale : float, optional
        One printable solid at this scale, as STL.
    split : str
        ``layers`` or ``pieces``: one STL for each, in a zip.

    Raises
    ------
    SceneError, SettingOutError, SolidError
        If the scene cannot be built.
    OutputError
        If the ending is not known or the file cannot be written.
    """
    from cladmodel.build import build_planned, load_scene
    from cladmodel.exports.formats import export as write
    from cladmodel.exports.formats import format_of
    from cladmodel.folders.one_file import need_place, write_whole

    if split not in ("", "layers", "pieces"):
        raise OutputError(f"split = {split!r}: use layers or pieces")
    if split and file.suffix.lower() != ".zip":
        raise OutputError(f"{file}: many STL files go into one .zip. Give it that ending.")
    if print_scale is not None and file.suffix.lower() != ".stl":
        raise OutputError(f"{file}: a printable solid is written as .stl. Give it that ending.")
    if not split:
        format_of(file)
    need_place(file)
    scene = load_scene(path)
    model = build_planned(scene).model
    if split:
        from cladmodel.exports.stl import stl_layers_zip, stl_parts_zip

        write_whole(file, stl_layers_zip(model) if split == "layers" else stl_parts_zip(model))
    elif print_scale is not None:
        from cladmodel.exports.printing import printable_stl

        write_whole(file, printable_stl(model, print_scale))
    else:
        from cladmodel.looks import export_looks

        looks = export_looks(scene)
        write(model, file, finish_colours=looks[0].colours, finishes=looks)


def page(path: Path, file: Path, say: Say) -> None:
    """Write the client's page of a scene.

    Parameters
    ----------
    path : Path
        Scene file.
    file : Path
        HTML to write.
    say : callable
        Told each step as it begins.

    Raises
    ------
    SceneError, SettingOutError, SolidError
        If the scene cannot be built.
    OutputError
        If cladmodel was installed without the page, or the file cannot be written.
    """
    from cladmodel.build import build_planned, load_scene, rules_of
    from cladmodel.folders.one_file import need_place, write_whole
    from cladmodel.measuring import measure, plan_of
    from cladmodel.page.bundle import load_bundle
    from cladmodel.schedules.report import report

    if file.suffix.lower() not in (".html", ".htm"):
        raise OutputError(f"{file}: the page is written as .html. Give it that ending.")
    load_bundle()
    need_place(file)
    scene = load_scene(path)
    say("setting out and making the solids")
    planned = build_planned(scene)
    say("measuring")
    findings = measure(scene, planned.model)
    plan = plan_of(scene, planned)
    table = report(planned.model, findings, rules_of(scene), plan)
    say("drawing its poster")
    write_whole(file, page_bytes(scene, planned.model, table, plan, _poster(scene, planned.model)))


def _poster(scene: Scene, model: Model) -> bytes | None:
    """A picture for the time before the model is shown; none where this machine cannot draw it."""
    with tempfile.TemporaryDirectory(prefix="cladmodel-") as name:
        picture = Path(name) / "poster.png"
        try:
            draw_preview(scene, model, picture)
        except PictureError:
            return None
        return picture.read_bytes()


def page_bytes(
    scene: Scene, model: Model, table: dict[str, Any], plan: CutSheet | None, poster: bytes | None
) -> bytes:
    """Write the client's page of a model that is built and reported already.

    Parameters
    ----------
    scene : Scene
    model : Model
    table : dict
        The report.
    plan : CutSheet or None
    poster : bytes or None

    Returns
    -------
    bytes
    """
    from cladmodel.looks import page_looks
    from cladmodel.page.pack import page_html
    from cladmodel.page.stock import places_of

    looks = page_looks(scene)
    return page_html(
        model,
        table,
        poster=poster,
        finishes=looks,
        finish=looks[0].name,
        stock=places_of(plan) if plan is not None else None,
    )

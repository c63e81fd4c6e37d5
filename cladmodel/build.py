"""The pipeline on one page: scene file -> Scene -> setting-out -> pieces -> solids -> Model."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from cladmodel.checks.exposure import Drilled, Exposure, Heart, Mesh, WindInputs
from cladmodel.checks.rules import Limit, Rules
from cladmodel.errors import SceneError
from cladmodel.model import Model, Opening, Wall
from cladmodel.parts.battens import batten_pieces
from cladmodel.parts.boards import board_pieces
from cladmodel.parts.fillet import fillet_pieces
from cladmodel.parts.fixings import fixings_of
from cladmodel.parts.frame import frame_pieces
from cladmodel.parts.levels import levels
from cladmodel.parts.membrane import membrane_pieces
from cladmodel.parts.packers import packer_pieces
from cladmodel.parts.piece import to_parts
from cladmodel.parts.posts import post_pieces
from cladmodel.parts.sheathing import sheathing_pieces
from cladmodel.parts.starter import starter_pieces
from cladmodel.parts.trims import trim_pieces
from cladmodel.parts.vent_strip import vent_strip_pieces
from cladmodel.scene.fields import basis_of
from cladmodel.scene.job import Scene
from cladmodel.scene.loading import Reading, read, read_text
from cladmodel.settingout.feasible import problems_of
from cladmodel.settingout.hanging import rod_notes
from cladmodel.settingout.setout import SetOut
from cladmodel.settingout.wall import set_out
from cladmodel.standards.climate import CLIMATES, Air, Climate
from cladmodel.standards.nails import TIMBERS
from cladmodel.standards.sources import Source, Standing
from cladmodel.standards.species import SPECIES, Sawn
from cladmodel.standards.ventilation import OPENING_RULES
from cladmodel.standards.wind import NATIONALS, TERRAINS, probability_factor

if TYPE_CHECKING:
    from cladmodel.settingout.cutting.plans import Layout

# In building-up order, which is also the order of a model's parts.
ELEMENTS = (
    frame_pieces,
    sheathing_pieces,
    membrane_pieces,
    batten_pieces,
    post_pieces,
    vent_strip_pieces,
    starter_pieces,
    packer_pieces,
    trim_pieces,
    fillet_pieces,
    board_pieces,
)


def load_scene(path: Path | str) -> Scene:
    """Read a scene file and check that a wall can be made of it.

    Parameters
    ----------
    path : Path or str
        A TOML file.

    Returns
    -------
    Scene

    Raises
    ------
    SceneError
        With every problem of the scene at once.
    """
    return _sound(read(Path(path)))


def load_scene_text(text: str) -> Scene:
    r"""Read a scene from TOML text; see `load_scene`.

    Parameters
    ----------
    text : str

    Raises
    ------
    SceneError
        With every problem of the scene at once.

    Examples
    --------
    >>> scene = load_scene_text('title = "Bench"\n[wall]\nlength = 3600\nheight = 2400')
    >>> scene.wall.height, scene.board.width
    (2400.0, 170)
    >>> load_scene_text('title = "Bench"\n[wall]\nlength = 3.6\nheight = 2400')  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    cladmodel.errors.SceneError: wall.length = 3.6: ... Is it in metres? 3.6 m is 3600 mm.
    """
    return _sound(read_text(text))


def _sound(reading: Reading) -> Scene:
    problems = list(reading.problems)
    if reading.scene is not None:
        problems += problems_of(reading.scene, reading.spoiled)
    if problems or reading.scene is None:
        raise SceneError(problems)
    return reading.scene


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planned:
    """A model with the cutting plan its joints come from.

    Attributes
    ----------
    model : Model
    layout : Layout or None
        None where the scene asks for quick joints.
    """

    model: Model
    layout: Layout | None


def build_planned(scene: Scene) -> Planned:
    """Build every piece of a scene with joints and saw cuts chosen together.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    Planned

    Raises
    ------
    SettingOutError
        If the job's numbers make no wall or its boards cannot be joined or bought.
    SolidError
        If a piece cannot be made; the message names it.
    """
    if scene.cutting.method == "quick":
        return Planned(model=build_model(scene), layout=None)
    from cladmodel.settingout.cutplan import set_out_planned

    walls, layout = set_out_planned(scene)
    return Planned(model=_model(scene, walls), layout=layout)


def build_model(scene: Scene) -> Model:
    r"""Build every piece of a scene as a closed solid, with joints chosen course by course.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    Model

    Raises
    ------
    SettingOutError
        If the job's numbers make no wall.
    SolidError
        If a piece cannot be made; the message names it.

    Examples
    --------
    >>> model = build_model(load_scene_text('title = "Bench"\n[wall]\nlength = 3600\nheight = 2400'))
    >>> board = next(part for part in model.parts if part.mark == "A01a")
    >>> board.section, board.course, round(board.cut_length_mm), board.vertices.shape
    ('170 x 22/9', 1, 3590, (8, 3))
    """
    return _model(scene, set_out(scene))


def _model(scene: Scene, walls: tuple[SetOut, ...]) -> Model:
    pieces = [piece for done in walls for make in ELEMENTS for piece in make(scene, done)]
    site = (f"of the site: {line.strip()}" for line in scene.site_notes.splitlines() if line.strip())
    notes = (*site, *rod_notes(scene))
    return Model(
        title=scene.title,
        walls=tuple(_wall(scene, done) for done in walls),
        parts=to_parts(pieces),
        fixings=tuple(group for done in walls for group in fixings_of(scene, done)),
        notes=(*notes, *(note for done in walls for note in done.notes)),
    )


def _wall(scene: Scene, done: SetOut) -> Wall:
    side = done.side
    return Wall(
        name=side.name,
        frame=side.frame,
        length=side.outline.length,
        outline=np.array([*side.outline.foot, *reversed(side.outline.top)]),
        ground=side.outline.lowest - side.clearance,
        head=side.outline.highest,
        openings=tuple(
            Opening(name=o.name, door=o.door, left=o.left, right=o.right, sill=o.sill, head=o.head)
            for o in done.openings
        ),
        rod=done.lines,
        depth_to_frame=-levels(scene).studs,
        frame_depth=scene.studs.depth,
        foot_points=len(side.outline.foot),
        left_corner=side.left,
        right_corner=side.right,
    )


def rules_of(scene: Scene) -> Rules:
    r"""Limits that the checks hold a scene's model to, each with the basis of its field.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    Rules
        Limits that a scene does not set keep the defaults of `Rules`.

    Examples
    --------
    >>> lap = rules_of(load_scene_text('title = "Bench"\n[wall]\nlength = 3600\nheight = 2400')).lap
    >>> lap.value, lap.unit
    (32, 'mm')
    """
    rules = scene.rules

    def given(table: str, field: str) -> Limit:
        values = getattr(scene, table)
        return Limit(value=getattr(values, field), unit="mm", basis=basis_of(values, field))

    return Rules(
        lap=given("board", "least_lap"),
        cavity=given("rules", "cavity"),
        stagger=given("rules", "stagger"),
        column_rest=Limit(
            value=float(rules.column_rest), unit="courses", basis=basis_of(rules, "column_rest")
        ),
        nail_clearance=given("rules", "nail_clearance"),
        nail_penetration=given("rules", "nail_penetration"),
        nail_end=given("fixings", "end_distance"),
        least_rip=given("rules", "least_rip"),
        least_piece=given("rules", "least_piece"),
        ground_clearance=given("rules", "ground_clearance"),
    )


def exposure_of(scene: Scene) -> Exposure:
    """What a scene says of air, moisture, wind and timber; what it leaves out stays None.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    Exposure
    """
    timber, wind, air, fixings = scene.timber, scene.wind, scene.air, scene.fixings
    return Exposure(
        climate=_climate_of(scene),
        species=None if timber.species is None else SPECIES[timber.species],
        sawn=Sawn(timber.sawn),
        fixing_moisture=timber.fixing_moisture,
        treated=timber.treated,
        board_timber=None if timber.board_class is None else TIMBERS[timber.board_class],
        batten_timber=None if timber.batten_class is None else TIMBERS[timber.batten_class],
        drilled=None if fixings.drilled is None else Drilled(fixings.drilled),
        heart=None if timber.heart is None else Heart(timber.heart),
        cut_ends_treated=timber.cut_ends_treated,
        wind=WindInputs(
            velocity=wind.velocity,
            terrain=None if wind.terrain is None else TERRAINS[wind.terrain],
            pressure=wind.pressure,
            height=wind.building_height,
            breadth=wind.building_breadth,
            direction=wind.direction,
            season=wind.season,
            probability=probability_factor(1 / wind.return_period),
            orography=wind.orography,
            national=NATIONALS[wind.national],
            behind=wind.cavity_pressure,
            load_factor=wind.load_factor,
        ),
        f_ax=fixings.f_ax,
        f_head=fixings.f_head,
        service_class=wind.service_class,
        duration=wind.duration,
        openings=OPENING_RULES[air.rule],
        mesh=None
        if air.mesh_aperture is None
        else Mesh(aperture=air.mesh_aperture, open_share=air.mesh_open_share),
    )


def _climate_of(scene: Scene) -> Climate | None:
    """Air as given, else the named climate; None where neither is whole."""
    given = scene.climate
    ends = (
        (given.dry_temperature_c, given.dry_humidity),
        (given.wet_temperature_c, given.wet_humidity),
    )
    air = [Air(temperature_c=t, humidity_percent=h) for t, h in ends if t is not None and h is not None]
    if len(air) == len(ends):
        source = Source(name="air as given in the scene", standing=Standing.FOUND)
        return Climate(name="given", driest=air[0], wettest=air[1], source=source)
    return None if given.name is None else CLIMATES[given.name]

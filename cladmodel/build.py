"""The pipeline on one page: scene file -> Scene -> setting-out -> pieces -> solids -> Model."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from cladmodel.checks.rules import Limit, Rules
from cladmodel.errors import SceneError
from cladmodel.model import Model, Opening, Wall
from cladmodel.parts.battens import batten_pieces
from cladmodel.parts.boards import board_pieces
from cladmodel.parts.fixings import fixings_of
from cladmodel.parts.frame import frame_pieces
from cladmodel.parts.levels import levels
from cladmodel.parts.membrane import membrane_pieces
from cladmodel.parts.piece import to_parts
from cladmodel.parts.posts import post_pieces
from cladmodel.parts.sheathing import sheathing_pieces
from cladmodel.parts.starter import starter_pieces
from cladmodel.parts.trims import trim_pieces
from cladmodel.scene.fields import basis_of
from cladmodel.scene.job import Scene
from cladmodel.scene.loading import Reading, read, read_text
from cladmodel.settingout.feasible import problems_of
from cladmodel.settingout.wall import SetOut, set_out


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
    """Read a scene from TOML text; see `load_scene`.

    Parameters
    ----------
    text : str

    Raises
    ------
    SceneError
        With every problem of the scene at once.
    """
    return _sound(read_text(text))


def _sound(reading: Reading) -> Scene:
    problems = list(reading.problems)
    if reading.scene is not None:
        problems += problems_of(reading.scene, reading.spoiled)
    if problems or reading.scene is None:
        raise SceneError(problems)
    return reading.scene


def build_model(scene: Scene) -> Model:
    """Build every piece of a scene as a closed solid.

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
        If a piece cannot be made; the message names the plate.
    """
    done = set_out(scene)
    pieces = [
        *frame_pieces(scene, done),
        *sheathing_pieces(scene, done),
        *membrane_pieces(scene, done),
        *batten_pieces(scene, done),
        *post_pieces(scene, done),
        *starter_pieces(scene, done),
        *trim_pieces(scene, done),
        *board_pieces(scene, done),
    ]
    return Model(
        title=scene.title,
        walls=(_wall(scene, done),),
        parts=to_parts(pieces),
        fixings=fixings_of(scene, done),
        notes=done.notes,
    )


def _wall(scene: Scene, done: SetOut) -> Wall:
    return Wall(
        name=done.name,
        frame=np.eye(4),
        length=done.length,
        outline=np.array(done.outline.exterior.coords)[:-1],
        ground=-scene.wall.ground_clearance,
        head=done.height,
        openings=tuple(
            Opening(name=o.name, door=o.door, left=o.left, right=o.right, sill=o.sill, head=o.head)
            for o in done.openings
        ),
        rod=done.lines,
        depth_to_frame=-levels(scene).studs,
        frame_depth=scene.studs.depth,
    )


def rules_of(scene: Scene) -> Rules:
    """Limits that the checks hold a scene's model to, each with the basis of its field.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    Rules
        Limits that a scene does not set keep the defaults of `Rules`.
    """
    fixings, rules = scene.fixings, scene.rules

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
        nail_end=Limit(value=fixings.end_distance, unit="mm", basis=basis_of(fixings, "end_distance")),
        ground_clearance=given("rules", "ground_clearance"),
    )

"""The wall peeled back step by step, each layer named and sized, in the order it goes up.

Where the camera and the sun stand was chosen by eye.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from cladmodel.drawings.view import figure
from cladmodel.model import Kind, Layer, Model, Part, Use, Wall
from cladmodel.parts.site import PLINTH_TOP
from cladmodel.solids.plates import Plate, frame, lift
from cladmodel.views import cameras
from cladmodel.views.cameras import Camera
from cladmodel.views.finishes import Finish
from cladmodel.views.lettering import save
from cladmodel.views.named import wall_named
from cladmodel.views.on_paper import Step, on_paper, room_left
from cladmodel.views.peel import Peeled, peel
from cladmodel.views.staging import stage

DOUBLED = 150.0  # pieces closer than this are counted as doubled, not as spaced [mm]
SUN = (np.radians(-38.0), np.radians(50.0))  # from straight in front, and above level


def layers(
    model: Model,
    path: Path | str,
    *,
    finish: Finish | str = "bare",
    wall: str | None = None,
    size: tuple[int, int] = (1600, 1000),
    supersample: int = 2,
    seed: int = 1,
) -> Path:
    """Draw one wall peeled back.

    Parameters
    ----------
    model : Model
    path : Path or str
        PNG file to write.
    finish : Finish or str
    wall : str, optional
        The first wall if not given.
    size : (2,) int
        [pixels]
    supersample : int
        Rays through each pixel, squared.
    seed : int

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If there is no such wall or finish, or the file cannot be written.
    """
    chosen = wall_named(model, wall)
    peeled = peel(model, chosen)
    shown = [*peeled.parts, plinth(chosen)]
    steps = steps_of(model, chosen, peeled)
    camera = _camera(model, chosen, shown, steps, size)
    ground = float(model.to_building(chosen.name, np.array([[0.0, chosen.ground, 0.0]]))[0, 1])
    scene = stage(model, shown, peeled.fixings, seed, ground, floor="paper")
    image = on_paper(
        scene,
        camera,
        finish,
        steps,
        ("How the wall goes up", model.title),
        sun=(cameras.facing(chosen) + SUN[0], SUN[1]),
        finest=camera.pixel_size(cameras.points_of(model, shown), size),
        size=size,
        supersample=supersample,
        seed=seed,
    )
    return save(image, path)


def steps_of(model: Model, wall: Wall, peeled: Peeled) -> list[Step]:
    """What goes up in which order, with sizes read off the pieces.

    Parameters
    ----------
    model : Model
    wall : Wall
    peeled : Peeled
        What is shown of it.
    """
    mine = [p for p in model.parts if p.wall == wall.name]
    shown = {p.mark: p for p in peeled.parts}

    def of(*kinds: Kind, loose: bool = True) -> list[Part]:
        return [p for p in mine if p.kind in kinds and not (loose and p.assembly)]

    def marks(parts: Iterable[Part]) -> frozenset[str]:
        return frozenset(p.mark for p in parts if p.mark in shown)

    frame_parts = [p for p in mine if p.layer is Layer.FRAME]
    battens, boards = of(Kind.BATTEN), of(Kind.BOARD)
    posts = [p for p in of(Kind.POST, loose=False) if p.mark in shown]
    trims = of(Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.FLASHING, Kind.SILL)
    foot = [p for p in of(Kind.STARTER, Kind.VENT_STRIP) if p.vertices[:, 1].min() < PLINTH_TOP]
    steps: list[tuple[str, Iterable[Part], bool]] = [
        (f"Stud frame {_cross(of(Kind.STUD), 0, 2)}, {_centres(of(Kind.STUD))}", frame_parts, True),
        (f"Sheathing {_thick(of(Kind.SHEATHING))} thick", of(Kind.SHEATHING), True),
        ("Breather membrane, lapped from the foot up", of(Kind.MEMBRANE), True),
        (f"Battens {_cross(battens, 0, 2)}, {_centres(battens)}", battens, True),
        (_foot_words(foot), [p for p in foot if p.kind is Kind.STARTER] or foot, False),
        (f"Corner post {_cross(posts, 0, 2)}, set up with its battens", posts, False),
        (_trim_words(trims), trims, False),
        (_board_words(model, wall, boards), boards, True),
        ("Cover fillet under the soffit, air gap behind", of(Kind.FILLET), True),
    ]
    return [
        Step(words=words, marks=marks(parts), above=above) for words, parts, above in steps if marks(parts)
    ]


def _thick(parts: Sequence[Part]) -> str:
    return figure(float(np.ptp(parts[0].vertices[:, 2]))) if parts else ""


def _cross(parts: Sequence[Part], wide: int, deep: int) -> str:
    """Commonest cross-section of some upright pieces, read off their solids."""
    if not parts:
        return ""
    found = [
        tuple(sorted((figure(float(np.ptp(p.vertices[:, a]))) for a in (wide, deep)), key=float))
        for p in parts
    ]
    small, large = max(set(found), key=found.count)
    return f"{large} x {small}"


def _centres(parts: Sequence[Part]) -> str:
    """Widest spacing of some upright pieces that are not doubled."""
    middles = np.unique(np.round([p.vertices[:, 0].mean() for p in parts], 1))
    gaps = [g for g in np.round(np.diff(middles)).astype(int).tolist() if g > DOUBLED]
    return f"at up to {max(gaps)} centres" if gaps else "a single one"


def _foot_words(parts: Sequence[Part]) -> str:
    starters = [p for p in parts if p.kind is Kind.STARTER]
    vented = "Vent strip" if any(p.kind is Kind.VENT_STRIP for p in parts) else ""
    if not starters:
        return vented
    tall, thick = np.ptp(starters[0].vertices[:, 1]), np.ptp(starters[0].vertices[:, 2])
    words = f"starter {figure(float(tall))} high, {figure(float(thick))} thick, leans course 1 like the rest"
    return f"{vented} and {words}" if vented else words.capitalize()


def _trim_words(parts: Sequence[Part]) -> str:
    words = f"Trims {_cross([p for p in parts if p.kind is Kind.SIDE_TRIM], 0, 2)} round the openings"
    also = [str(kind) for kind in (Kind.FLASHING, Kind.SILL) if any(p.kind is kind for p in parts)]
    return f"{words}, with {' and '.join(also)}" if also else words


def _board_words(model: Model, wall: Wall, boards: Sequence[Part]) -> str:
    gauge = float(np.median(np.diff(wall.rod)))
    courses = len({p.course for p in boards})
    nails = sum(len(f.heads) for f in model.fixings_for(Use.BOARD, wall.name))
    section = f"{boards[0].section}, " if boards and boards[0].section else ""
    return f"Feather-edge boards {section}{courses} courses at {figure(gauge)}, {nails} nails"


def plinth(wall: Wall) -> Part:
    """Stand the frame on a plinth, for pictures only."""
    import shapely

    back = -wall.depth_to_frame - wall.frame_depth
    face = shapely.box(4.0, wall.ground, wall.length - 4.0, PLINTH_TOP)
    plate = Plate(
        polygon=face,
        thickness=wall.frame_depth - 8.0,
        frame=frame((0.0, 0.0, back + 4.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    )
    solid = lift([plate])[0]
    return Part(
        mark="~plinth",
        kind=Kind.SCENERY,
        wall=wall.name,
        vertices=solid.vertices,
        faces=solid.faces,
        material="plinth",
        section="plinth",
    )


def _camera(
    model: Model,
    wall: Wall,
    parts: Sequence[Part],
    steps: Sequence[Step],
    size: tuple[int, int],
) -> Camera:
    """From the right, where the cut ends show, leaving room for the labels."""
    points = cameras.points_of(model, parts)
    facing = cameras.facing(wall)
    box = room_left(steps, size, (0.03, 0.94))
    floor = float(points[:, 1].min())
    shape = (int(box[2] - box[0]), max(1, int(box[3] - box[1])))
    view = cameras.framing(
        points,
        facing + np.radians(25.0),
        0.85 * wall.length + 1500.0,
        floor + 0.72 * float(np.ptp(points[:, 1])),
        shape,
        margin=0.0,
    )
    return view.inside(box, size)

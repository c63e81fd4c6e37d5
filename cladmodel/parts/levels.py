"""Where each layer begins and ends: from the batten face back into the frame, and at the corners."""

from __future__ import annotations

from dataclasses import dataclass

from cladmodel.scene.job import Scene
from cladmodel.settingout.plan import Corner, Side


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """Outer faces of the layers behind the boards, as z in the wall's axes. [mm]

    Attributes
    ----------
    membrane : float
        Outer face of the membrane: the back of the battens.
    sheathing, studs : float
        Outer faces.
    inside : float
        Inner face of the studs.
    """

    membrane: float
    sheathing: float
    studs: float
    inside: float


def levels(scene: Scene) -> Levels:
    """Levels of a scene's build-up.

    Parameters
    ----------
    scene : Scene
    """
    membrane = -scene.battens.thickness
    sheathing = membrane - scene.membrane.thickness
    studs = sheathing - scene.sheathing.thickness
    return Levels(membrane=membrane, sheathing=sheathing, studs=studs, inside=studs - scene.studs.depth)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Left and right ends of each layer. [mm]

    At an outside corner the layers of two walls interleave: the wall on the left of the corner runs
    through to the next layer of the other, which stops against it::

            membrane of this wall ----------+
            sheathing of this wall -------+ |
            studs of this wall ---------+ | |
                                        | | |  <- membrane, sheathing of the next wall

    Attributes
    ----------
    membrane, sheathing, studs : (2,) float
    """

    membrane: tuple[float, float]
    sheathing: tuple[float, float]
    studs: tuple[float, float]


def reach(scene: Scene, side: Side) -> Reach:
    """How far along the wall each layer of one side goes.

    Parameters
    ----------
    scene : Scene
    side : Side
    """
    skin, board, deep = scene.membrane.thickness, scene.sheathing.thickness, scene.studs.depth
    length = side.outline.length
    left = (skin, skin + board, skin + board + deep) if side.left is Corner.OUTSIDE else (0.0, 0.0, 0.0)
    right = (0.0, skin, skin + board) if side.right is Corner.OUTSIDE else (0.0, 0.0, 0.0)
    spans = [(a, length - b) for a, b in zip(left, right, strict=True)]
    return Reach(membrane=spans[0], sheathing=spans[1], studs=spans[2])

"""Where each layer begins and ends, from the batten face back into the frame."""

from __future__ import annotations

from dataclasses import dataclass

from cladmodel.scene.job import Scene


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

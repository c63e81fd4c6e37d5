"""How heavy the wall is, layer by layer, and how much finish its faces take: off the solids."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cladmodel.model import Kind, Layer, Model, Part
from cladmodel.solids.measure import face_vectors, gather, volumes

# Mean densities. [kg/m3]
DENSITIES: dict[str, tuple[float, str]] = {
    "board": (580.0, "western larch, gravity 0.52 at 12 %, found; heavy for a softwood: the safe side"),
    "post": (420.0, "C24, EN 338, found second-hand"),
    "trim": (420.0, "C24, EN 338, found second-hand"),
    "batten": (420.0, "C24, EN 338, found second-hand"),
    "frame": (420.0, "C24, EN 338, found second-hand"),
    "sheathing": (650.0, "from memory: strand board 600-680"),
    "membrane": (300.0, "from memory: about 0.15 kg/m2 at half a millimetre"),
    "metal": (7_850.0, "steel, from memory"),
    "plastic": (950.0, "polyethylene, from memory"),
}
CUBIC_METRE = 1e9  # [mm3]
OUTWARD = 0.2  # a face turned outward by less than this is not seen from in front [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """One layer.

    Attributes
    ----------
    layer : str
    volume : float
        [m3]
    mass : float
        [kg]
    basis : str
        Of the density.
    """

    layer: str
    volume: float
    mass: float
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishArea:
    """What a finish has to cover.

    Attributes
    ----------
    what : str
    area : float
        Of the faces. [m2]
    """

    what: str
    area: float


def weights(model: Model) -> tuple[Weight, ...]:
    """Mass of every layer, without fixings.

    Parameters
    ----------
    model : Model

    Returns
    -------
    tuple of Weight
        In building-up order.
    """
    found = []
    for layer in Layer:
        parts = [part for part in model.parts if part.layer is layer]
        if not parts:
            continue
        mass = volume = 0.0
        bases: dict[str, None] = {}
        for part, solid in zip(parts, volumes(gather(parts)) / CUBIC_METRE, strict=True):
            density, basis = DENSITIES[part.material]
            volume += solid
            mass += solid * density
            bases[f"{part.material} {density:g}: {basis}"] = None
        found.append(Weight(layer=str(layer), volume=float(volume), mass=float(mass), basis="; ".join(bases)))
    return tuple(found)


def finish_areas(model: Model) -> tuple[FinishArea, ...]:
    """Faces that take a finish: boards all round and to the weather, posts and trims to the weather.

    Parameters
    ----------
    model : Model
    """
    boards = model.of_kind(Kind.BOARD)
    others = model.of_kind(Kind.POST, Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.SILL, Kind.FILLET)
    return (
        FinishArea(what="boards, all faces", area=sum(_area(part)[0] for part in boards)),
        FinishArea(what="boards, faces outward", area=sum(_area(part)[1] for part in boards)),
        FinishArea(what="posts and trims, all faces", area=sum(_area(part)[0] for part in others)),
    )


def _area(part: Part) -> tuple[float, float]:
    """All faces, and those turned outward from the wall. [m2]"""
    normal = face_vectors(part.vertices, part.faces) / 2
    size = np.linalg.norm(normal, axis=1)
    outward = normal[:, 2] > OUTWARD * size
    return float(size.sum()) / 1e6, float(size[outward].sum()) / 1e6

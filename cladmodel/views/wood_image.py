"""A finish as plain colours and as images that repeat, for the formats and pages that carry such things."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np

from cladmodel.views.arrays import Singles
from cladmodel.views.colour import encode, light_of
from cladmodel.views.finishes import Finish
from cladmodel.views.grain import LENGTH, WIDTH, masks
from cladmodel.views.lettering import to_image
from cladmodel.views.palette import PLAINS, STRIPS, coats_of
from cladmodel.views.textures import coarser, coat_strip

QUALITY = 86  # of the JPEG; by eye, no blocks to be seen


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodImage:
    """An image of a finished face, grain along its width, that meets itself at all four edges.

    Attributes
    ----------
    image : bytes
        A whole JPEG file, its colours the finish's own.
    size_mm : (2,) float
        How much timber it shows, along and across the grain. [mm]
    """

    image: bytes
    size_mm: tuple[float, float]


def wood_image(finish: Finish, material: str, *, strip: int = 0, halved: int = 1) -> WoodImage:
    """Paint one strip of the grain that pictures use.

    Parameters
    ----------
    finish : Finish
    material : str
        board, post, trim, batten or frame.
    strip : int
        Which of the strips there are; counted on from the first when there are fewer.
    halved : int
        How often its size is halved: 0 for 1 mm to the texel or a little more, 1 for 2 mm.

    Raises
    ------
    KeyError
        If the material is no timber.
    """
    coat = coats_of(finish)[material]
    grain = masks()
    for _ in range(halved):
        grain = coarser(grain)
    light = np.moveaxis(coat_strip(grain, strip % len(grain.rings), coat)[:3], 0, -1)
    whole = np.concatenate([light, light[::-1]])  # along it repeats already; across it is mirrored
    data = io.BytesIO()
    painted = to_image(encode(whole))
    # Viewers on phones want sides that are powers of two.
    painted = painted.resize(tuple(1 << (side.bit_length() - 1) for side in painted.size))
    painted.save(data, format="JPEG", quality=QUALITY)
    return WoodImage(image=data.getvalue(), size_mm=(float(LENGTH), 2.0 * WIDTH))


def flat_colours(finish: Finish) -> dict[str, tuple[float, float, float]]:
    """Mean screen colour of every material a finish says anything of.

    Parameters
    ----------
    finish : Finish

    Returns
    -------
    dict of str to (3,) float
        Red, green, blue (sRGB, 0 to 1), by material.
    """
    grain = masks()
    for _ in range(3):  # an average needs no more than 8 mm to the texel
        grain = coarser(grain)
    found: dict[str, Singles] = {
        material: coat_strip(grain, 0, coat)[:3].mean(axis=(1, 2))
        for material, coat in coats_of(finish).items()
    }
    own = {"joinery": finish.joinery, "door": finish.door, **PLAINS}
    found |= {material: light_of(colour) for material, colour in own.items() if material not in STRIPS}
    return {material: _triple(encode(light)) for material, light in found.items()}


def _triple(value: Singles) -> tuple[float, float, float]:
    red, green, blue = (float(v) for v in value)
    return red, green, blue

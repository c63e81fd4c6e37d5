"""How each material looks in a 3D viewer: one table for every format that carries colour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Colour = tuple[float, float, float]
Colours = Mapping[str, Colour]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One material's appearance.

    Attributes
    ----------
    colour : (3,) float
        Red, green and blue as a screen shows them (sRGB). [0 to 1]
    roughness : float
        0 like a mirror, 1 like chalk. [0 to 1]
    metallic : float
        1 for bare metal, 0 for all else. [0 to 1]
    opacity : float
        1 hides what is behind it. [0 to 1]
    """

    colour: Colour
    roughness: float = 0.85
    metallic: float = 0.0
    opacity: float = 1.0

    @property
    def linear(self) -> Colour:
        """The colour as amounts of light, which is what a renderer multiplies."""
        red, green, blue = (_to_light(value) for value in self.colour)
        return red, green, blue


@dataclass(frozen=True, slots=True, kw_only=True)
class Texture:
    """An image of a surface, for formats that carry one.

    Attributes
    ----------
    image : bytes
        A whole PNG or JPEG file; it meets itself at its edges, its width along the grain. Its colours stand
        in place of the material's own.
    size_mm : (2,) float
        How much timber it shows, along and across the grain. [mm]
    """

    image: bytes
    size_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FinishLook:
    """One finish that a viewer may switch to.

    Attributes
    ----------
    title : str
        As shown to people, such as ``Oiled``.
    colours : mapping of str to (3,) float
        Screen colours (sRGB, 0 to 1) by material; a material left out keeps the table's colour.
    textures : mapping of str to Texture
        Images by material.
    """

    title: str
    colours: Colours = field(default_factory=dict)
    textures: Mapping[str, Texture] = field(default_factory=dict)


def _to_light(value: float) -> float:
    """Undo the sRGB curve. Source: IEC 61966-2-1:1999, from memory."""
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


# Chosen by eye so that neighbouring layers tell apart; no source, and no promise of a colour match.
LOOKS: Mapping[str, Look] = {
    "board": Look(colour=(0.80, 0.65, 0.46), roughness=0.8),
    "post": Look(colour=(0.77, 0.62, 0.43), roughness=0.8),
    "trim": Look(colour=(0.74, 0.59, 0.41), roughness=0.8),
    "batten": Look(colour=(0.66, 0.62, 0.42)),
    "frame": Look(colour=(0.90, 0.80, 0.62)),
    "sheathing": Look(colour=(0.76, 0.64, 0.45), roughness=0.9),
    "membrane": Look(colour=(0.40, 0.47, 0.52), roughness=0.9),
    "metal": Look(colour=(0.70, 0.71, 0.73), roughness=0.4, metallic=1.0),
    "plastic": Look(colour=(0.16, 0.16, 0.17), roughness=0.6),
    "glass": Look(colour=(0.75, 0.84, 0.86), roughness=0.05, opacity=0.35),
    "ground": Look(colour=(0.47, 0.48, 0.36), roughness=1.0),
    "plinth": Look(colour=(0.62, 0.60, 0.57), roughness=0.95),
    "soffit": Look(colour=(0.86, 0.84, 0.79)),
    "roof": Look(colour=(0.33, 0.34, 0.36), roughness=0.9),
    "gutter": Look(colour=(0.22, 0.23, 0.24), roughness=0.5),
    "joinery": Look(colour=(0.88, 0.87, 0.84), roughness=0.6),
    "door": Look(colour=(0.30, 0.38, 0.36), roughness=0.6),
}

# For a material the table does not know: plain grey, so that the piece is still seen.
UNKNOWN = Look(colour=(0.6, 0.6, 0.6))


def look_of(material: str, finish_colours: Colours | None = None) -> Look:
    """Return a material's look, recoloured by the finish where the finish names it.

    Parameters
    ----------
    material : str
        As in `cladmodel.model.Part.material`.
    finish_colours : mapping of str to (3,) float, optional
        Screen colours (sRGB, 0 to 1) by material.

    Raises
    ------
    ValueError
        If a finish colour is not three numbers from 0 to 1.
    """
    look = LOOKS.get(material, UNKNOWN)
    if not finish_colours or material not in finish_colours:
        return look
    colour = tuple(float(value) for value in finish_colours[material])
    if len(colour) != 3 or not all(0.0 <= value <= 1.0 for value in colour):
        raise ValueError(f"finish colour of {material}: {colour} is not three numbers from 0 to 1")
    return Look(
        colour=(colour[0], colour[1], colour[2]),
        roughness=look.roughness,
        metallic=look.metallic,
        opacity=look.opacity,
    )

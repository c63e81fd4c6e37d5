"""Materials of a GLB file: the look to start with, and the finishes a viewer may switch between."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cladmodel.exports.gltf_file import GlbFile, Json
from cladmodel.exports.materials import Colours, FinishLook, Texture, look_of
from cladmodel.model import Part

VARIANTS = "KHR_materials_variants"
# How a PNG and a JPEG file begin (ISO/IEC 15948:2004 section 5.2; ISO/IEC 10918-1:1994 annex B).
_IMAGE_TYPES = {b"\x89PNG\r\n\x1a\n": "image/png", b"\xff\xd8\xff": "image/jpeg"}
DECIMALS = 6  # of a colour: far below what a screen shows


class Looks:
    """Materials as they are asked for, each written once.

    Parameters
    ----------
    file : GlbFile
        They are added to it.
    colours : mapping of str to (3,) float, or None
        Screen colours of the look to start with.
    textures : mapping of str to Texture, or None
        Images of the look to start with.
    finishes : sequence of FinishLook

    Raises
    ------
    ValueError
        If two finishes have one title.
    """

    def __init__(
        self,
        file: GlbFile,
        colours: Colours | None,
        textures: Mapping[str, Texture] | None,
        finishes: Sequence[FinishLook],
    ) -> None:
        titles = [finish.title for finish in finishes]
        if len(set(titles)) < len(titles):
            raise ValueError(f"finishes: two have one title: {titles}")
        self.file, self.finishes = file, tuple(finishes)
        self.first = FinishLook(title="", colours=colours or {}, textures=textures or {})
        self.looks: dict[str, Json] = {}
        self.written: dict[tuple[str, str, Texture | None], int] = {}
        self.images: dict[bytes, int] = {}
        if titles:
            file.extensions[VARIANTS] = {"variants": [{"name": title} for title in titles]}

    def textured(self, material: str) -> bool:
        """Tell whether any look of a material has an image."""
        return any(material in finish.textures for finish in (self.first, *self.finishes))

    def tiles(self, parts: Sequence[Part]) -> list[tuple[float, float]]:
        """Size of the image on each part: that of its first look that has one. [mm]"""
        looks = (self.first, *self.finishes)
        sizes = {
            part.material: next(
                (look.textures[part.material].size_mm for look in looks if part.material in look.textures),
                (1.0, 1.0),
            )
            for part in parts
        }
        return [sizes[part.material] for part in parts]

    def of(self, material: str) -> Json:
        """Return what a mesh says of its material, added to the file when first asked for."""
        if material not in self.looks:
            start = self._index(material, self.first)
            switched: dict[int, list[int]] = {}
            for number, finish in enumerate(self.finishes):
                switched.setdefault(self._index(material, finish), []).append(number)
            look: Json = {"material": start}
            if set(switched) - {start}:
                mappings = [{"material": index, "variants": on} for index, on in switched.items()]
                look["extensions"] = {VARIANTS: {"mappings": mappings}}
            self.looks[material] = look
        return self.looks[material]

    def _index(self, material: str, finish: FinishLook) -> int:
        """Index of a material under a finish; finishes that leave it alike share it."""
        look, texture = look_of(material, finish.colours), finish.textures.get(material)
        colour = look.linear if texture is None else (1.0, 1.0, 1.0)  # an image is multiplied by it
        surface: Json = {
            "baseColorFactor": [*(round(value, DECIMALS) for value in colour), look.opacity],
            "metallicFactor": look.metallic,
            "roughnessFactor": look.roughness,
        }
        key = (material, str(surface), texture)
        if key in self.written:
            return self.written[key]
        if texture is not None:
            surface["baseColorTexture"] = {"index": self._texture(material, texture)}
        name = material or "unknown"
        entry: Json = {
            "name": f"{name}, {finish.title}" if finish.title else name,
            "pbrMetallicRoughness": surface,
        }
        if look.opacity < 1.0:
            entry["alphaMode"] = "BLEND"
        self.file.materials.append(entry)
        self.written[key] = len(self.file.materials) - 1
        return self.written[key]

    def _texture(self, material: str, texture: Texture) -> int:
        """Index of a texture; one image is stored once however often it is used."""
        if texture.image not in self.images:
            kind = next((t for start, t in _IMAGE_TYPES.items() if texture.image.startswith(start)), None)
            if kind is None:
                raise ValueError(f"texture of {material}: the image is neither PNG nor JPEG")
            view = self.file.add_view(texture.image)
            self.file.images.append({"bufferView": view, "mimeType": kind})
            self.file.textures.append({"source": len(self.file.images) - 1})
            self.images[texture.image] = len(self.file.textures) - 1
        return self.images[texture.image]

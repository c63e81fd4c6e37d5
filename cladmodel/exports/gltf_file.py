"""The grammar of a GLB file: arrays, views, accessors and bytes; knows nothing of walls."""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cladmodel.exports.facets import Facets
from cladmodel.model import Floats, Ints

Json = dict[str, Any]

# Numbers that the glTF 2.0 specification (Khronos, 2021) gives these names: sections 3.6.2, 3.6.1, 4.4.
_FLOAT, _UINT16, _UINT32 = 5126, 5123, 5125
_VERTEX_DATA, _INDEX_DATA = 34962, 34963
_MAGIC, _JSON_CHUNK, _BINARY_CHUNK = 0x46546C67, 0x4E4F534A, 0x004E4942
# The highest index of a type is kept free: it means "start again" to some hardware (section 3.7.2.1).
_UINT16_CORNERS = 65_535


@dataclass(slots=True, kw_only=True)
class GlbFile:
    """The glTF arrays as they fill up; entries point at one another by index."""

    nodes: list[Json] = field(default_factory=list)
    meshes: list[Json] = field(default_factory=list)
    materials: list[Json] = field(default_factory=list)
    images: list[Json] = field(default_factory=list)
    textures: list[Json] = field(default_factory=list)
    accessors: list[Json] = field(default_factory=list)
    views: list[Json] = field(default_factory=list)
    extensions: Json = field(default_factory=dict)
    binary: bytearray = field(default_factory=bytearray)

    def add_meshes(
        self,
        places: Floats,
        split: Facets,
        triangle_start: Ints,
        *,
        names: Sequence[str],
        looks: Sequence[Json],
        normals: bool,
        uv: Floats | None = None,
        textured: NDArray[np.bool_] | None = None,
    ) -> list[int]:
        """Write corners and indices of many meshes into one view each, with accessors a mesh.

        Parameters
        ----------
        places : (v, 3) float
            Corners, mesh after mesh. [m]
        split : Facets
        triangle_start : (meshes + 1,) int
            Where each mesh's triangles begin, and the total.
        names : sequence of str
        looks : sequence of dict
            Material, and what goes with it, of each mesh.
        normals : bool
            Whether to write them.
        uv : (v, 2) float, optional
            Places in the texture.
        textured : (meshes,) bool, optional
            Which meshes get theirs.

        Returns
        -------
        list of int
            Index of each mesh.
        """
        columns = [places, split.normals] if normals else [places]
        corners = np.concatenate(columns, axis=1).astype("<f4")
        stride = corners.strides[0]
        corner_view = self.add_view(corners.tobytes(), target=_VERTEX_DATA, stride=stride)
        start = split.corner_start
        local = split.triangles - np.repeat(start[:-1], np.diff(triangle_start))[:, None]
        wide = int(np.diff(start).max()) > _UINT16_CORNERS
        indices = local.astype("<u4" if wide else "<u2")
        index_view = self.add_view(indices.tobytes(), target=_INDEX_DATA)
        uv_at = None if uv is None or textured is None else self._add_uv(uv, start, textured)
        meshes = []
        for number, (name, look) in enumerate(zip(names, looks, strict=True)):
            first, last = int(start[number]), int(start[number + 1])
            head, tail = int(triangle_start[number]), int(triangle_start[number + 1])
            own = corners[first:last, :3]
            vector: Json = {"type": "VEC3", "componentType": _FLOAT, "count": last - first}
            at = {"bufferView": corner_view, "byteOffset": first * stride}
            bounds = {"min": own.min(axis=0).tolist(), "max": own.max(axis=0).tolist()}
            attributes = {"POSITION": self._accessor({**vector, **at, **bounds})}
            if normals:
                at_normal = {**at, "byteOffset": at["byteOffset"] + 3 * corners.itemsize}
                attributes["NORMAL"] = self._accessor({**vector, **at_normal})
            if uv_at is not None and number in uv_at:
                attributes["TEXCOORD_0"] = self._accessor({**vector, "type": "VEC2", **uv_at[number]})
            index: Json = {
                "bufferView": index_view,
                "byteOffset": head * indices.strides[0],
                "type": "SCALAR",
                "componentType": _UINT32 if wide else _UINT16,
                "count": 3 * (tail - head),
            }
            primitive = {"attributes": attributes, "indices": self._accessor(index), **look}
            self.meshes.append({"name": name, "primitives": [primitive]})
            meshes.append(len(self.meshes) - 1)
        return meshes

    def _add_uv(self, uv: Floats, start: Ints, textured: NDArray[np.bool_]) -> dict[int, Json]:
        """Write places in the texture for the meshes that have one; tell where each one's lie."""
        kept = uv[np.repeat(textured, np.diff(start))].astype("<f4")
        view = self.add_view(kept.tobytes(), target=_VERTEX_DATA, stride=kept.strides[0])
        found: dict[int, Json] = {}
        offset = 0
        for number in np.flatnonzero(textured).tolist():
            found[number] = {"bufferView": view, "byteOffset": offset}
            offset += int(start[number + 1] - start[number]) * kept.strides[0]
        return found

    def _accessor(self, accessor: Json) -> int:
        self.accessors.append(accessor)
        return len(self.accessors) - 1

    def add_view(self, data: bytes, *, target: int | None = None, stride: int | None = None) -> int:
        """Add bytes to the binary part.

        Parameters
        ----------
        data : bytes
        target : int, optional
            What a graphics card keeps it as.
        stride : int, optional
            Bytes from one corner to the next.

        Returns
        -------
        int
            Index of the view.
        """
        view: Json = {"buffer": 0, "byteOffset": len(self.binary), "byteLength": len(data)}
        if target is not None:
            view["target"] = target
        if stride is not None:
            view["byteStride"] = stride
        self.views.append(view)
        self.binary += data + bytes(-len(data) % 4)
        return len(self.views) - 1

    def to_bytes(self, title: str, root: int) -> bytes:
        """Wrap JSON and binary up as GLB (specification section 4).

        Parameters
        ----------
        title : str
        root : int
            Index of the node that all others hang from.
        """
        document = without_empty(
            {
                "asset": {"version": "2.0", "generator": "cladmodel", "extras": {"unit": "m"}},
                "extensionsUsed": sorted(self.extensions),
                "extensions": self.extensions,
                "scene": 0,
                "scenes": [{"name": title or "building", "nodes": [root]}],
                "nodes": self.nodes,
                "meshes": self.meshes,
                "materials": self.materials,
                "textures": self.textures,
                "images": self.images,
                "accessors": self.accessors,
                "bufferViews": self.views,
                "buffers": [{"byteLength": len(self.binary)}] if self.binary else [],
            }
        )
        text = json.dumps(document, separators=(",", ":"), allow_nan=False).encode("ascii")
        text += b" " * (-len(text) % 4)
        chunks = struct.pack("<II", len(text), _JSON_CHUNK) + text
        if self.binary:
            chunks += struct.pack("<II", len(self.binary), _BINARY_CHUNK) + bytes(self.binary)
        return struct.pack("<III", _MAGIC, 2, 12 + len(chunks)) + chunks


def without_empty(node: Json) -> Json:
    """Drop empty lists and objects, which glTF forbids.

    Parameters
    ----------
    node : dict
    """
    return {key: value for key, value in node.items() if value not in ([], {})}

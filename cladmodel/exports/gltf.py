"""glTF 2.0 in one binary file (GLB): every piece a named node with its own figures.

Nodes run building > wall > layer > part. Metres, y up, right-handed: a wall's own axes are glTF's
axes, so positions are the wall's own, scaled, and the wall's node carries its frame. Single
precision then holds a thousandth of a millimetre at ten metres. The same model gives the same bytes.
"""

from __future__ import annotations

import json
import os
import struct
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from cladmodel.exports.facets import Facets, facets
from cladmodel.exports.fasteners import fastener_solid, rotations, turned
from cladmodel.exports.files import write_whole
from cladmodel.exports.materials import Colours, look_of
from cladmodel.model import Fastener, Fixings, Floats, Ints, Layer, Model, Part, Wall, flatten

FixingDetail = Literal["heads", "instances", "none"]
Json = dict[str, Any]

METRES = 1e-3  # from millimetres
# Decimals of a number in the JSON: a tenth of a micrometre for places, far below single precision for turns.
PLACE_DECIMALS = 7
TURN_DECIMALS = 9
NO_TURN = (0.0, 0.0, 0.0, 1.0)

# Numbers that the glTF 2.0 specification (Khronos, 2021) gives these names: sections 3.6.2, 3.6.1, 4.4.
_FLOAT, _UINT16, _UINT32 = 5126, 5123, 5125
_VERTEX_DATA, _INDEX_DATA = 34962, 34963
_MAGIC, _JSON_CHUNK, _BINARY_CHUNK = 0x46546C67, 0x4E4F534A, 0x004E4942
# The highest index of a type is kept free: it means "start again" to some hardware (section 3.7.2.1).
_UINT16_CORNERS = 65_535


def write_glb(
    model: Model,
    path: str | os.PathLike[str],
    *,
    finish_colours: Colours | None = None,
    fixings: FixingDetail = "instances",
    surroundings: bool = False,
) -> Path:
    """Write a model as one GLB file, whole or not at all; see `glb_bytes`."""
    return write_whole(
        path, glb_bytes(model, finish_colours=finish_colours, fixings=fixings, surroundings=surroundings)
    )


def glb_bytes(
    model: Model,
    *,
    finish_colours: Colours | None = None,
    fixings: FixingDetail = "instances",
    surroundings: bool = False,
) -> bytes:
    """Return a model as the bytes of a GLB file.

    Parameters
    ----------
    model : Model
    finish_colours : mapping of str to (3,) float, optional
        Screen colours (sRGB, 0 to 1) by material, in place of the table's.
    fixings : {"instances", "heads", "none"}
        A node for every nail and screw, all of one size sharing one mesh; or only their heads,
        merged into one mesh a group; or none.
    surroundings : bool
        With the ground, roof and glass that are there for pictures only.

    Returns
    -------
    bytes
        The same for the same model.
    """
    file = _File(finish_colours=finish_colours)
    parts = [*model.parts, *(model.surroundings if surroundings else ())]
    pieces: dict[str, list[tuple[Part, int]]] = {wall.name: [] for wall in model.walls}
    for part, mesh in zip(parts, file.add_meshes(parts), strict=True):
        pieces[part.wall].append((part, mesh))
    groups: dict[str, list[Fixings]] = {wall.name: [] for wall in model.walls}
    for group in model.fixings if fixings != "none" else ():
        groups[group.wall].append(group)
    wall_nodes = [
        file.add_wall(wall, pieces[wall.name], groups[wall.name], heads_only=fixings == "heads")
        for wall in model.walls
    ]
    building = file.add_node(_without_empty({"name": "building", "children": wall_nodes}))
    return file.to_bytes(model.title, building)


@dataclass(slots=True, kw_only=True)
class _File:
    """The glTF arrays as they fill up; nodes point into them by index."""

    finish_colours: Colours | None
    nodes: list[Json] = field(default_factory=list)
    meshes: list[Json] = field(default_factory=list)
    materials: list[Json] = field(default_factory=list)
    accessors: list[Json] = field(default_factory=list)
    views: list[Json] = field(default_factory=list)
    binary: bytearray = field(default_factory=bytearray)
    material_index: dict[str, int] = field(default_factory=dict)
    fastener_mesh: dict[Fastener, int] = field(default_factory=dict)

    # ---- the tree

    def add_node(self, node: Json) -> int:
        self.nodes.append(node)
        return len(self.nodes) - 1

    def add_wall(
        self, wall: Wall, pieces: Sequence[tuple[Part, int]], groups: Sequence[Fixings], *, heads_only: bool
    ) -> int:
        """Add one wall, its layers in building-up order, and all below them."""
        layers: dict[Layer, list[int]] = {layer: [] for layer in Layer}
        for part, mesh in pieces:
            node = {"name": part.mark, "mesh": mesh, "extras": _part_extras(part)}
            layers[part.layer].append(self.add_node(node))
        for group in groups:
            if len(group.heads):
                added = self.add_heads(group) if heads_only else self.add_fixings(group)
                layers[Layer.FIXINGS].append(added)
        children = []
        for layer, nodes in layers.items():
            extras = {"wall": wall.name, "layer": str(layer)}
            if nodes:
                named = {"name": f"{wall.name} {layer}", "children": nodes, "extras": extras}
                children.append(self.add_node(named))
        node = {"name": wall.name, "children": children, "extras": {"wall": wall.name}}
        if not np.array_equal(wall.frame, np.eye(4)):
            node["matrix"] = _matrix(wall.frame)
        return self.add_node(_without_empty(node))

    def add_fixings(self, group: Fixings) -> int:
        """Add a group with one node a nail or screw, all of them sharing one mesh."""
        mesh = self.mesh_of(group.fastener)
        places = (np.round(group.heads * METRES, PLACE_DECIMALS) + 0.0).tolist()
        turns = np.round(rotations(group.directions), TURN_DECIMALS) + 0.0
        level = np.all(turns == NO_TURN, axis=1)
        children = []
        for number, (place, turn) in enumerate(zip(places, turns.tolist(), strict=True)):
            one: Json = {"name": f"{group.mark}.{number + 1}", "mesh": mesh, "translation": place}
            if not level[number]:
                one["rotation"] = turn
            children.append(self.add_node(one))
        return self.add_node({"name": group.mark, "children": children, "extras": _fixing_extras(group)})

    def add_heads(self, group: Fixings) -> int:
        """Add a group with all its heads as one mesh, each still a closed solid."""
        solid, faces = fastener_solid(group.fastener, head_only=True)
        placed = turned(solid, rotations(group.directions)) + group.heads[:, None]
        offsets = np.arange(len(placed)) * len(solid)
        merged = (faces + offsets[:, None, None]).reshape(-1, 3)
        mesh = self.add_mesh(f"{group.mark} heads", placed.reshape(-1, 3), merged)
        return self.add_node({"name": group.mark, "mesh": mesh, "extras": _fixing_extras(group)})

    # ---- meshes

    def add_meshes(self, parts: Sequence[Part]) -> list[int]:
        """Add one mesh a part, all in one pass; return their indices."""
        if not parts:
            return []
        vertices, faces, _, face_part = flatten(parts)
        split = facets(vertices, faces, face_part, len(parts))
        triangle_start = np.searchsorted(face_part, np.arange(len(parts) + 1))
        materials = [self.material(part.material) for part in parts]
        return self._store(vertices, split, triangle_start, [part.mark for part in parts], materials)

    def mesh_of(self, fastener: Fastener) -> int:
        """Return the one mesh of a size of nail or screw, made when first asked for."""
        if fastener not in self.fastener_mesh:
            vertices, faces = fastener_solid(fastener)
            self.fastener_mesh[fastener] = self.add_mesh(fastener.name, vertices, faces)
        return self.fastener_mesh[fastener]

    def add_mesh(self, name: str, vertices: Floats, faces: Ints) -> int:
        """Add one mesh of metal."""
        split = facets(vertices, faces, np.zeros(len(faces), np.int64), 1)
        whole = np.array([0, len(faces)])
        (mesh,) = self._store(vertices, split, whole, [name], [self.material("metal")])
        return mesh

    def _store(
        self,
        vertices: Floats,
        split: Facets,
        triangle_start: Ints,
        names: Sequence[str],
        materials: Sequence[int],
    ) -> list[int]:
        """Write corners and indices of many meshes into one view each, with an accessor a mesh."""
        corners = np.concatenate([vertices[split.source] * METRES, split.normals], axis=1).astype("<f4")
        corner_view = self._view(corners.tobytes(), target=_VERTEX_DATA, stride=corners.strides[0])
        start = split.corner_start
        local = split.triangles - np.repeat(start[:-1], np.diff(triangle_start))[:, None]
        wide = int(np.diff(start).max()) > _UINT16_CORNERS
        indices = local.astype("<u4" if wide else "<u2")
        index_view = self._view(indices.tobytes(), target=_INDEX_DATA)
        meshes = []
        for number, (name, material) in enumerate(zip(names, materials, strict=True)):
            first, last = int(start[number]), int(start[number + 1])
            head, tail = int(triangle_start[number]), int(triangle_start[number + 1])
            places = corners[first:last, :3]
            position: Json = {"type": "VEC3", "componentType": _FLOAT, "count": last - first}
            at = {"bufferView": corner_view, "byteOffset": first * corners.strides[0]}
            at_normal = {**at, "byteOffset": at["byteOffset"] + 3 * corners.itemsize}
            bounds = {"min": places.min(axis=0).tolist(), "max": places.max(axis=0).tolist()}
            index: Json = {
                "bufferView": index_view,
                "byteOffset": head * indices.strides[0],
                "type": "SCALAR",
                "componentType": _UINT32 if wide else _UINT16,
                "count": 3 * (tail - head),
            }
            primitive = {
                "attributes": {
                    "POSITION": self._accessor({**position, **at, **bounds}),
                    "NORMAL": self._accessor({**position, **at_normal}),
                },
                "indices": self._accessor(index),
                "material": material,
            }
            self.meshes.append({"name": name, "primitives": [primitive]})
            meshes.append(len(self.meshes) - 1)
        return meshes

    def material(self, name: str) -> int:
        """Index of a material, added when first asked for."""
        if name not in self.material_index:
            look = look_of(name, self.finish_colours)
            entry: Json = {
                "name": name or "unknown",
                "pbrMetallicRoughness": {
                    "baseColorFactor": [*(round(value, 6) for value in look.linear), look.opacity],
                    "metallicFactor": look.metallic,
                    "roughnessFactor": look.roughness,
                },
            }
            if look.opacity < 1.0:
                entry["alphaMode"] = "BLEND"
            self.materials.append(entry)
            self.material_index[name] = len(self.materials) - 1
        return self.material_index[name]

    # ---- bytes

    def _accessor(self, accessor: Json) -> int:
        self.accessors.append(accessor)
        return len(self.accessors) - 1

    def _view(self, data: bytes, *, target: int, stride: int | None = None) -> int:
        view: Json = {"buffer": 0, "byteOffset": len(self.binary), "byteLength": len(data), "target": target}
        if stride is not None:
            view["byteStride"] = stride
        self.views.append(view)
        self.binary += data + bytes(-len(data) % 4)
        return len(self.views) - 1

    def to_bytes(self, title: str, root: int) -> bytes:
        """Wrap JSON and binary up as GLB (specification section 4)."""
        document = _without_empty(
            {
                "asset": {"version": "2.0", "generator": "cladmodel", "extras": {"unit": "m"}},
                "scene": 0,
                "scenes": [{"name": title or "building", "nodes": [root]}],
                "nodes": self.nodes,
                "meshes": self.meshes,
                "materials": self.materials,
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


def _part_extras(part: Part) -> Json:
    """Gather what someone with other software needs to know of a piece."""
    extras: Json = {"kind": str(part.kind), "wall": part.wall}
    if part.course is not None:
        extras["course"] = int(part.course)
    extras["cut_length_mm"] = round(float(part.cut_length_mm), 3)
    extras["section"] = part.section
    extras["material"] = part.material
    if part.assembly is not None:
        extras["assembly"] = part.assembly
    return extras


def _fixing_extras(group: Fixings) -> Json:
    fastener = group.fastener
    return {
        "use": str(group.use),
        "wall": group.wall,
        "count": len(group.heads),
        "fastener": fastener.name,
        "diameter_mm": round(float(fastener.diameter), 3),
        "length_mm": round(float(fastener.length), 3),
        "head_diameter_mm": round(float(fastener.head_diameter), 3),
        "headed": bool(fastener.headed),
        "ringed": bool(fastener.ringed),
        "material": fastener.material,
        "concealed": bool(group.concealed),
    }


def _matrix(frame: NDArray[np.float64]) -> list[float]:
    """Lay a wall's frame out column by column, in metres."""
    columns = np.array(frame, np.float64)
    columns[:3, 3] *= METRES
    return [float(value) for value in (columns.T + 0.0).ravel()]


def _without_empty(node: Json) -> Json:
    """Drop empty lists, which glTF forbids."""
    return {key: value for key, value in node.items() if value != []}

"""glTF 2.0 in one binary file (GLB): every piece a named node with its own figures.

Nodes run building > wall > layer > part. Metres, y up, right-handed: a wall's own axes are glTF's
axes, so positions are the wall's own, scaled, and the wall's node carries its frame. Single
precision then holds a thousandth of a millimetre at ten metres. The same model gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cladmodel.exports.facets import Facets, facets
from cladmodel.exports.fasteners import fastener_solid, merged_heads, rotations
from cladmodel.exports.figures import METRES, fixing_figures, part_figures
from cladmodel.exports.gltf_file import GlbFile, Json, without_empty
from cladmodel.exports.gltf_looks import Looks
from cladmodel.exports.gltf_textures import grain_uv
from cladmodel.exports.materials import Colours, FinishLook, Texture
from cladmodel.model import Fastener, Fixings, Floats, Ints, Layer, Model, Part, Wall
from cladmodel.solids.measure import gather

FixingDetail = Literal["heads", "instances", "none"]

# Decimals of a number in the JSON: a tenth of a micrometre for places, far below single precision for turns.
PLACE_DECIMALS = 7
TURN_DECIMALS = 9
NO_TURN = (0.0, 0.0, 0.0, 1.0)


def glb_bytes(
    model: Model,
    *,
    finish_colours: Colours | None = None,
    finishes: Sequence[FinishLook] = (),
    textures: Mapping[str, Texture] | None = None,
    fixings: FixingDetail = "instances",
    normals: bool = True,
    surroundings: bool = False,
) -> bytes:
    """Return a model as the bytes of a GLB file.

    Parameters
    ----------
    model : Model
    finish_colours : mapping of str to (3,) float, optional
        Screen colours (sRGB, 0 to 1) by material, in place of the table's.
    finishes : sequence of FinishLook
        Finishes that a viewer may switch between (KHR_materials_variants); viewers that cannot show
        `finish_colours` and `textures`.
    textures : mapping of str to Texture, optional
        Images by material, laid along the grain: that of the longest side of each piece.
    fixings : {"instances", "heads", "none"}
        A node for every nail and screw, all of one size sharing one mesh; or only their heads,
        merged into one mesh a group; or none.
    normals : bool
        Without them the file is much smaller, and the format obliges a viewer to shade every face
        flat by itself, which is right for timber.
    surroundings : bool
        With the ground, roof and glass that are there for pictures only.

    Returns
    -------
    bytes
        The same for the same model.

    Raises
    ------
    ValueError
        If a colour is not three numbers from 0 to 1, an image is neither PNG nor JPEG, or two
        finishes have one title.
    """
    file = GlbFile()
    tree = _Tree(file, Looks(file, finish_colours, textures, finishes), normals=normals)
    parts = [*model.parts, *(model.surroundings if surroundings else ())]
    pieces: dict[str, list[tuple[Part, int]]] = {wall.name: [] for wall in model.walls}
    for part, mesh in zip(parts, tree.add_meshes(parts), strict=True):
        pieces[part.wall].append((part, mesh))
    groups: dict[str, list[Fixings]] = {wall.name: [] for wall in model.walls}
    for group in model.fixings if fixings != "none" else ():
        groups[group.wall].append(group)
    wall_nodes = [
        tree.add_wall(wall, pieces[wall.name], groups[wall.name], heads_only=fixings == "heads")
        for wall in model.walls
    ]
    building = tree.add_node(without_empty({"name": "building", "children": wall_nodes}))
    return file.to_bytes(model.title, building)


class _Tree:
    """Nodes and meshes of a building on their way into a file.

    Parameters
    ----------
    file : GlbFile
    looks : Looks
    normals : bool
    """

    def __init__(self, file: GlbFile, looks: Looks, *, normals: bool) -> None:
        self.file, self.looks, self.normals = file, looks, normals
        self.fastener_mesh: dict[Fastener, int] = {}

    # ---- the tree

    def add_node(self, node: Json) -> int:
        self.file.nodes.append(node)
        return len(self.file.nodes) - 1

    def add_wall(
        self, wall: Wall, pieces: Sequence[tuple[Part, int]], groups: Sequence[Fixings], *, heads_only: bool
    ) -> int:
        """Add one wall, its layers in building-up order, and all below them."""
        layers: dict[Layer, list[int]] = {layer: [] for layer in Layer}
        for part, mesh in pieces:
            node = {"name": part.mark, "mesh": mesh, "extras": part_figures(part)}
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
        return self.add_node(without_empty(node))

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
        return self.add_node({"name": group.mark, "children": children, "extras": fixing_figures(group)})

    def add_heads(self, group: Fixings) -> int:
        """Add a group with all its heads as one mesh, each still a closed solid."""
        mesh = self.add_mesh(f"{group.mark} heads", *merged_heads(group))
        return self.add_node({"name": group.mark, "mesh": mesh, "extras": fixing_figures(group)})

    # ---- meshes

    def add_meshes(self, parts: Sequence[Part]) -> list[int]:
        """Add one mesh a part, all in one pass; return their indices."""
        if not parts:
            return []
        soup = gather(parts)
        textured = np.array([self.looks.textured(part.material) for part in parts])
        if self.normals or textured.any():
            split = facets(soup.vertices, soup.faces, soup.face_part, soup.count)
        else:
            split = _as_they_are(soup.vertices, soup.faces, soup.vertex_starts)
        return self.file.add_meshes(
            soup.vertices[split.source] * METRES,
            split,
            soup.face_starts,
            names=[part.mark for part in parts],
            looks=[self.looks.of(part.material) for part in parts],
            normals=self.normals,
            uv=grain_uv(soup.vertices, split, parts, self.looks.tiles(parts)) if textured.any() else None,
            textured=textured,
        )

    def mesh_of(self, fastener: Fastener) -> int:
        """Return the one mesh of a size of nail or screw, made when first asked for."""
        if fastener not in self.fastener_mesh:
            self.fastener_mesh[fastener] = self.add_mesh(fastener.name, *fastener_solid(fastener))
        return self.fastener_mesh[fastener]

    def add_mesh(self, name: str, vertices: Floats, faces: Ints) -> int:
        """Add one mesh of metal."""
        if self.normals:
            split = facets(vertices, faces, np.zeros(len(faces), np.int64), 1)
        else:
            split = _as_they_are(vertices, faces, np.array([0, len(vertices)]))
        (mesh,) = self.file.add_meshes(
            vertices[split.source] * METRES,
            split,
            np.array([0, len(faces)]),
            names=[name],
            looks=[self.looks.of("metal")],
            normals=self.normals,
        )
        return mesh


def _as_they_are(vertices: Floats, faces: Ints, corner_start: Ints) -> Facets:
    """Corners shared as the solids share them, for a viewer that finds its own normals."""
    return Facets(
        source=np.arange(len(vertices)),
        normals=np.empty((0, 3)),
        triangles=faces,
        corner_start=corner_start,
    )


def _matrix(frame: NDArray[np.float64]) -> list[float]:
    """Lay a wall's frame out column by column, in metres."""
    columns = np.array(frame, np.float64)
    columns[:3, 3] *= METRES
    return [float(value) for value in (columns.T + 0.0).ravel()]

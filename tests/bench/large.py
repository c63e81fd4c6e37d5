"""Jobs to measure: the seed store, a block of four storeys and a block with ten wings, a site of many stores.

A scene holds one building of up to 400 walls, 500 openings, 120,000 pieces and 300,000 nails. The block with
wings has nearly as many nails: a hundred times the seed store's wall by area, 66 times its pieces, 170 times
its nails. A site is a hundred seed stores, each built from a scene of its own, put into one model.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from cladmodel.build import build_model, load_scene_text
from cladmodel.model import Model

SCENES = Path(__file__).resolve().parents[2] / "scenes"

STOREY = 2700  # mm
BAY = 3000  # between two windows of a wall [mm]
APART = 12_000  # between two stores of a site [mm]

LASTING = """
[climate]
name = "temperate"
[timber]
species = "European larch"
fixing_moisture = 18
"""
"""So that the checks at the driest and the wettest are run, too."""


@dataclass(frozen=True, kw_only=True)
class Wings:
    """A plan with as many wings to the south as to the north of a spine. Lengths in mm.

    Attributes
    ----------
    across : int
        Wings side by side; one is a plain rectangle.
    wide, between, long, spine : int
    windows : int
    """

    across: int
    wide: int
    between: int
    long: int
    spine: int
    windows: int

    @property
    def corners(self) -> list[tuple[int, int]]:
        """East and north of every corner, anticlockwise."""
        pitch, deep = self.wide + self.between, 2 * self.long + self.spine
        south, north = [(0, 0)], []
        for wing in range(self.across):
            right = wing * pitch + self.wide
            south.append((right, 0))
            if wing < self.across - 1:
                south += [(right, self.long), (right + self.between, self.long), (right + self.between, 0)]
        for wing in reversed(range(self.across)):
            left = wing * pitch
            north += [(left + self.wide, deep), (left, deep)]
            if wing:
                north += [(left, deep - self.long), (left - self.between, deep - self.long)]
        return south + north


TEN = Wings(across=1, wide=18_000, between=0, long=0, spine=10_000, windows=12)
HUNDRED = Wings(across=5, wide=12_000, between=10_000, long=17_000, spine=6_000, windows=40)


def block(plan: Wings, title: str, storeys: int = 4) -> str:
    """Scene of a block with narrow boards, its windows filled in storey by storey.

    Parameters
    ----------
    plan : Wings
    title : str
    storeys : int
    """
    corners = plan.corners
    lengths = [math.dist(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    lines = [
        f'title = "{title}"',
        "[building]",
        f"corners = {[list(corner) for corner in corners]}",
        f"height = {storeys * STOREY + 1200}",
        "[rod]",
        'align = ["all sills", "all heads"]',
        "[board]",
        "width = 100",
        "stock = [4800, 3600]",
        "[posts]",
        "size = 90",
        "inside_size = 90",
        "[trims]",
        "thickness = 55",
    ]
    names = [f"wall {chr(65 + n) if n < 26 else 'A' + chr(65 + n - 26)}" for n in range(len(corners))]
    places = [
        (storey, name, bay)
        for storey in range(storeys)
        for name, length in zip(names, lengths, strict=True)
        for bay in range(int((length - BAY) // BAY))
    ]
    for number, (storey, name, bay) in enumerate(places[: plan.windows]):
        lines += [
            "[[opening]]",
            f'name = "window {number + 1}"',
            f'wall = "{name}"',
            f"left = {BAY // 2 + bay * BAY}",
            "width = 1200",
            f"sill = {900 + storey * STOREY}",
            f"head = {2100 + storey * STOREY}",
        ]
    return "\n".join(lines) + LASTING


def seed_store() -> str:
    """The seed store's scene, with air and timber named."""
    return (SCENES / "seed-store.toml").read_text("utf-8") + LASTING


SCENE_OF = {
    "1x": seed_store,
    "10x": lambda: block(TEN, "Block of four storeys"),
    "100x": lambda: block(HUNDRED, "Block with ten wings"),
}
"""Scene text of each size that is one building."""


def site(count: int, text: str) -> Model:
    """Build one scene many times over and put all of them into one model, in rows.

    Parameters
    ----------
    count : int
    text : str
        A scene of one building.
    """
    a_row = math.ceil(math.sqrt(count))
    built = [_placed(build_model(load_scene_text(text)), n, divmod(n, a_row)) for n in range(count)]
    return Model(
        title=f"Site of {count}",
        walls=tuple(wall for one in built for wall in one.walls),
        parts=tuple(part for one in built for part in one.parts),
        fixings=tuple(group for one in built for group in one.fixings),
    )


def _placed(model: Model, number: int, place: tuple[int, int]) -> Model:
    aside = np.eye(4)
    aside[[0, 2], 3] = APART * place[1], -APART * place[0]
    tag = f"{number + 1:03d}"

    def own(name: str) -> str:
        return f"{tag} {name}"

    return replace(
        model,
        walls=tuple(replace(w, name=own(w.name), frame=aside @ w.frame) for w in model.walls),
        parts=tuple(replace(p, mark=f"{tag}-{p.mark}", wall=own(p.wall)) for p in model.parts),
        fixings=tuple(replace(g, mark=f"{tag}-{g.mark}", wall=own(g.wall)) for g in model.fixings),
    )

"""What each piece of a stage is coloured with: a strip of grain, a tile or one plain colour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cladmodel.views import tiles
from cladmodel.views.colour import light_of
from cladmodel.views.finishes import BATTENS, FRAME, Coat, Finish
from cladmodel.views.grain import Masks, masks
from cladmodel.views.staging import Ints, Singles, Stage
from cladmodel.views.textures import HALVINGS, Ripmap, coat_end, ripmap, wood_ripmap

PLAIN, WOOD, TILED = range(3)

# Strips of grain dealt to each material; what is small or hidden needs few.
STRIPS = {"board": 14, "post": 4, "trim": 4, "batten": 4, "frame": 4}

# Plain colours, by eye.
PLAINS = {
    "membrane": "#8b98a3",
    "metal": "#a5a8ab",
    "plastic": "#34353a",
    "nail": "#8f9192",
    "soffit": "#d9d4c8",
    "gutter": "#3b3e42",
    "glass": "#101214",
}
FASCIA = "#4b5054"
TILES = {
    "grass": tiles.GRASS,
    "gravel": tiles.GRAVEL,
    "edging": tiles.CONCRETE,
    "plinth": tiles.CONCRETE,
    "roof": tiles.SLATES,
    "sheathing": tiles.STRANDS,
}
GLOSS = {"metal": 0.5, "nail": 0.5, "gutter": 0.45, "joinery": 0.3, "door": 0.3, "plastic": 0.3, "roof": 0.12}
SHINE = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Palette:
    """How every piece is coloured. p pieces.

    Attributes
    ----------
    way : (p,) int
        `PLAIN`, `WOOD` or `TILED`.
    map : (p,) int
        Which map of `wood` or `tiled`.
    end : (p,) int
        Which map of `tiled` its cut ends take; -1 for none.
    tint : (p, 3) float
        Plain colour, or what the map is multiplied by.
    flip : (p,) float
        -1 for pieces laid the other way round, else 1.
    gloss : (p,) float
        0 dry to 1 wet.
    shelter : (p, 3) float
        What the colour is multiplied by out of the weather.
    mean : (p, 3) float
        Average colour, for light sent back.
    wood, tiled : Ripmap
    """

    way: Ints
    map: Ints
    end: Ints
    tint: Singles
    flip: Singles
    gloss: Singles
    shelter: Singles
    mean: Singles
    wood: Ripmap
    tiled: Ripmap

    @property
    def mean_of_grass(self) -> float:
        """Average green light of the grass tile."""
        return float(_means(self.tiled)[tiles.GRASS, 1])


def coats_of(finish: Finish) -> dict[str, Coat]:
    """Coat of each timber material under a finish."""
    return {
        "board": finish.board,
        "post": finish.post,
        "trim": finish.trim,
        "batten": BATTENS,
        "frame": FRAME,
    }


def palette(stage: Stage, finish: Finish, grain: Masks | None = None) -> Palette:
    """Colour a stage.

    Parameters
    ----------
    stage : Stage
    finish : Finish
    grain : Masks, optional
        The cached ones if not given.
    """
    grain = masks() if grain is None else grain
    used = [m for m in STRIPS if m in stage.material] or ["board"]
    coats = coats_of(finish)
    wood = wood_ripmap(grain, [(coats[m], STRIPS[m]) for m in used])
    first = dict(zip(used, np.cumsum([0, *(STRIPS[m] for m in used)])[:-1], strict=True))
    tiled = ripmap(
        lambda k: tiles.paint(k) if k < tiles.COUNT else coat_end(grain, coats[used[k - tiles.COUNT]]),
        tiles.COUNT + len(used),
        (tiles.SIDE, tiles.SIDE),
        [*tiles.PITCH, *[END_PITCH] * len(used)],
        wrap=True,
    )
    count = len(stage.material)
    way, which = np.zeros(count, np.int64), np.zeros(count, np.int64)
    end = np.full(count, -1)
    tint, shelter = np.ones((count, 3), np.float32), np.ones((count, 3), np.float32)
    gloss = np.zeros(count, np.float32)
    flip = np.where(stage.dice[:, 3] > 0.5, -1.0, 1.0).astype(np.float32)
    for p, (material, section) in enumerate(zip(stage.material, stage.section, strict=True)):
        if material in STRIPS:
            coat = coats[material]
            way[p], which[p] = WOOD, first[material] + int(stage.dice[p, 0] * 997) % STRIPS[material]
            end[p] = tiles.COUNT + used.index(material)
            tint[p] = _difference(coat, stage.dice[p])
            gloss[p] = coat.gloss
            if coat.shelter:
                shelter[p] = light_of(coat.shelter) / np.maximum(light_of(coat.early), 1e-3)
            continue
        flip[p] = 1.0
        gloss[p] = GLOSS.get(material, SHINE)
        tile = TILES.get(section if material == "ground" else material)
        if tile is not None:
            way[p], which[p] = TILED, tile
        elif section == "fascia":
            tint[p] = light_of(FASCIA)
        elif material in ("joinery", "door"):
            tint[p] = light_of(finish.joinery if material == "joinery" else finish.door)
        else:
            tint[p] = light_of(PLAINS.get(material, "#9a948a"))
    mean = tint.copy()
    mean[way == WOOD] *= _means(wood)[which[way == WOOD]]
    mean[way == TILED] *= _means(tiled)[which[way == TILED]]
    # Lawn throws up less colour than its own: soil, thatch and dry stems. By eye.
    lawn = (way == TILED) & (which == tiles.GRASS)
    mean[lawn] = 0.35 * mean[lawn] + 0.65 * mean[lawn].mean(axis=1, keepdims=True)
    return Palette(
        way=way,
        map=which,
        end=end,
        tint=tint,
        flip=flip,
        gloss=gloss,
        shelter=shelter,
        mean=mean,
        wood=wood,
        tiled=tiled,
    )


END_PITCH = 0.5  # size of a texel of a cut end [mm]


def _difference(coat: Coat, dice: Singles) -> Singles:
    """How one board differs from the next in lightness and warmth."""
    even = np.float32(np.sqrt(12.0))  # spread of a throw from 0 to 1
    lightness = np.exp(coat.spread * (dice[1] - 0.5) * even)
    warm = coat.hue * coat.spread * (dice[2] - 0.5) * even
    return np.asarray(lightness * np.array([1 + 0.5 * warm, 1.0, 1 - warm]), np.float32)


def _means(maps: Ripmap) -> Singles:
    """(count, 3) float: average colour of each map."""
    top = HALVINGS - 1
    size = (maps.columns >> top) * (maps.rows >> top)
    start = int(maps.starts[top, top])
    texels = maps.texels[start : start + size * maps.count].view(np.uint8).reshape(maps.count, size, 4)
    return np.asarray(((texels[..., :3] / 255.0) ** 2).mean(axis=1), np.float32)

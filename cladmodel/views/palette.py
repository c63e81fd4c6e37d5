"""What each piece of a stage is coloured with: a strip of grain, a tile or one plain colour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from cladmodel.views import tiles
from cladmodel.views.arrays import Ints, Singles
from cladmodel.views.coats import BATTENS, FRAME, Coat
from cladmodel.views.colour import light_of
from cladmodel.views.finishes import Finish
from cladmodel.views.grain import Masks, masks
from cladmodel.views.staging import Stage
from cladmodel.views.textures import HALVINGS, Ripmap, coarser, coat_end, ripmap, wood_ripmap

PLAIN, WOOD, TILED, PAPER = range(4)

# Strips of grain dealt to each material; what is small or hidden needs few.
STRIPS = {"board": 14, "post": 4, "trim": 4, "batten": 3, "frame": 3}

# Plain colours, by eye.
PLAINS = {
    "membrane": "#8b98a3",
    "metal": "#a5a8ab",
    "plastic": "#34353a",
    "soffit": "#d9d4c8",
    "gutter": "#3b3e42",
    "glass": "#101214",
}
FASCIA = "#4b5054"
TILES = {
    "grass": tiles.GRASS,
    "bank": tiles.GRASS,
    "gravel": tiles.GRAVEL,
    "edging": tiles.CONCRETE,
    "plinth": tiles.CONCRETE,
    "roof": tiles.SLATES,
    "sheathing": tiles.STRANDS,
}
# Gloss of what has no coat, 0 dry to 1 wet, by eye; of all else.
GLOSS = {"metal": 0.5, "nail": 0.5, "gutter": 0.45, "joinery": 0.3, "door": 0.3, "plastic": 0.3, "roof": 0.12}
DRY = 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Palette:
    """How every piece is coloured. p pieces.

    Attributes
    ----------
    way : (p,) int
        `PLAIN`, `WOOD`, `TILED` or `PAPER` (the background, shaded).
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
    grass : int
        Which map of `tiled` is grass; -1 for none.
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
    grass: int

    @cached_property
    def mean_of_grass(self) -> float:
        """Average green light of the grass map."""
        return float(_means(self.tiled)[self.grass, 1])


def coats_of(finish: Finish) -> dict[str, Coat]:
    """Coat of each timber material under a finish."""
    return {
        "board": finish.board,
        "post": finish.post,
        "trim": finish.trim,
        "batten": BATTENS,
        "frame": FRAME,
    }


def palette(stage: Stage, finish: Finish, *, finest: float = 0.0, grain: Masks | None = None) -> Palette:
    """Colour a stage.

    Parameters
    ----------
    stage : Stage
    finish : Finish
    finest : float
        Nothing finer than this will show. [mm]
    grain : Masks, optional
        The cached ones if not given.
    """
    grain = masks() if grain is None else grain
    coats = coats_of(finish)
    timbers = [m for m in STRIPS if m in stage.material]
    dealt = [_strip_of(m, dice, grain) for m, dice in zip(stage.material, stage.dice, strict=True)]
    plan = sorted({strip for strip in dealt if strip is not None}) or [("board", 0)]
    wood = wood_ripmap(_as_coarse(grain, finest), [(coats[material], strip) for material, strip in plan])
    tile_of = [_tile_of(m, s) for m, s in zip(stage.material, stage.section, strict=True)]
    laid = sorted({tile for tile in tile_of if tile is not None}) or [tiles.CONCRETE]
    tiled = ripmap(
        lambda k: tiles.tile_of(laid[k]) if k < len(laid) else coat_end(grain, coats[timbers[k - len(laid)]]),
        len(laid) + len(timbers),
        (tiles.SIDE, tiles.SIDE),
        [*(tiles.PITCH[tile] for tile in laid), *[END_PITCH] * len(timbers)],
        wrap=True,
    )
    count = len(stage.material)
    way, which = np.zeros(count, np.int64), np.zeros(count, np.int64)
    end = np.full(count, -1)
    tint, shelter = np.ones((count, 3), np.float32), np.ones((count, 3), np.float32)
    gloss = np.zeros(count, np.float32)
    flip = np.where(stage.dice[:, 3] > 0.5, -1.0, 1.0).astype(np.float32)
    own = {"joinery": finish.joinery, "door": finish.door, "nail": finish.nails}
    for p, (material, section) in enumerate(zip(stage.material, stage.section, strict=True)):
        strip = dealt[p]
        if strip is not None:
            coat = coats[material]
            way[p], which[p] = WOOD, plan.index(strip)
            end[p] = len(laid) + timbers.index(material)
            tint[p] = _difference(coat, stage.dice[p])
            gloss[p] = coat.gloss
            if coat.shelter:
                shelter[p] = light_of(coat.shelter) / np.maximum(light_of(coat.early), 1e-3)
            continue
        flip[p] = 1.0
        gloss[p] = GLOSS.get(material, DRY)
        tile = tile_of[p]
        if tile is not None:
            way[p], which[p] = TILED, laid.index(tile)
        elif material == "paper":
            way[p], tint[p] = PAPER, light_of("#c8c8c8")
        elif section == "fascia":
            tint[p] = light_of(FASCIA)
        elif material in own:
            tint[p] = light_of(own[material])
        else:
            tint[p] = light_of(PLAINS.get(material, "#9a948a"))
    mean = tint.copy()
    mean[way == WOOD] *= _means(wood)[which[way == WOOD]]
    mean[way == TILED] *= _means(tiled)[which[way == TILED]]
    # Lawn throws up less colour than its own: soil, thatch and dry stems. By eye.
    lawn = np.array([tile == tiles.GRASS for tile in tile_of])
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
        grass=laid.index(tiles.GRASS) if tiles.GRASS in laid else -1,
    )


def _tile_of(material: str, section: str) -> int | None:
    """Which tile a piece takes; None for none."""
    return TILES.get(section if material == "ground" else material)


def _as_coarse(grain: Masks, finest: float) -> Masks:
    """Masks no finer than a picture shows."""
    texel = 1.0
    for _ in range(MOST_HALVED):
        if finest < COARSE * texel:
            break
        grain, texel = coarser(grain), 2 * texel
    return grain


def _strip_of(material: str, dice: Singles, grain: Masks) -> tuple[str, int] | None:
    """Material and strip of one piece of timber; None for anything else."""
    if material not in STRIPS:
        return None
    first = list(STRIPS).index(material) * 5  # so that posts do not repeat the boards beside them
    return material, (first + int(dice[0] * 997) % STRIPS[material]) % len(grain.rings)


COARSE = 1.4  # a pixel this many times a texel needs masks of half the size only [-]
MOST_HALVED = 3
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

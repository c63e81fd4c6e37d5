"""Small pictures of the example walls, each taken once; the grain cache is kept out of the user's folder."""

from functools import lru_cache

import numpy as np
import pytest

from cladmodel.views import cache, grain, tiles
from cladmodel.views.finishes import finish
from cladmodel.views.preview import shoot

SIZE = (160, 100)


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory):
    """Point the cache at a scratch folder for the whole run."""
    folder = tmp_path_factory.mktemp("cache")
    patch = pytest.MonkeyPatch()
    patch.setattr(cache, "folder", lambda: folder)
    for kept in (grain.masks, tiles.tile_of):
        kept.cache_clear()
    yield
    for kept in (grain.masks, tiles.tile_of):
        kept.cache_clear()
    patch.undo()


@pytest.fixture(scope="session")
def shots(tool_store, own_cache):
    """Pictures of the tool store by finish, taken when first asked for."""

    @lru_cache
    def take(name, seed=1):
        return shoot(tool_store.model, finish(name), size=SIZE, seed=seed)

    return take


def luminance(shown):
    """Brightness of screen values; weights of ITU-R BT.709, from memory."""
    return shown @ np.array([0.2126, 0.7152, 0.0722])


def pieces_seen(shot):
    """Mark of the piece at the middle of every pixel; empty for sky."""
    marks = np.array([*shot.stage.marks, ""])
    owner = np.where(shot.picture.triangle >= 0, shot.stage.piece[shot.picture.triangle], -1)
    return marks[owner]


def inner(mask):
    """Without the pixels at a mask's edge."""
    from scipy.ndimage import binary_erosion

    return binary_erosion(mask)

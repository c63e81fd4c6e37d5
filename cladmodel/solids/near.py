"""Which boxes of two lists meet: what is looked at more closely, found without trying every pair."""

from __future__ import annotations

import numpy as np
import shapely

from cladmodel.solids.measure import Floats, Ints


def boxes_met(low: Floats, high: Floats, others_low: Floats, others_high: Floats) -> tuple[Ints, Ints]:
    """Pairs of boxes, one of each list, that meet or touch.

    Parameters
    ----------
    low, high : (n, d) float
        Lower and upper corners; with d = 1, ends of spans. [mm]
    others_low, others_high : (m, d) float
        [mm]

    Returns
    -------
    one, other : (k,) int
        Indices, by the first list, then by the second. A box with a corner that is no number meets none.
    """
    if not len(low) or not len(others_low):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    # A tree over the first two axes; whatever meets there is held to the others.
    x, y = 0, min(1, low.shape[1] - 1)
    tree = shapely.STRtree(
        shapely.box(others_low[:, x], others_low[:, y], others_high[:, x], others_high[:, y])
    )
    one, other = tree.query(shapely.box(low[:, x], low[:, y], high[:, x], high[:, y]))
    meet = ((low[one] <= others_high[other]) & (high[one] >= others_low[other])).all(axis=1)
    one, other = one[meet], other[meet]
    order = np.lexsort((other, one))
    return one[order].astype(np.int64), other[order].astype(np.int64)

"""The model as one compact block for the browser: a JSON head, then plain arrays.

    bytes   what
    4       length of the head, little-endian
    head    JSON, padded with spaces to a multiple of 4
    f4      vertices of all parts, building axes, y up [mm]: 3 each
    f4      fixings: where the head bears and the way it is driven: 6 each
    u2      fixings: step in which each goes in
    u2/u4   triangles, numbered from 0 within their own part: 3 each

Every array starts at a multiple of 4.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cladmodel.model import Model, Part
from cladmodel.page.steps import Steps

Json = dict[str, Any]
_UINT16_VERTICES = 65_536


def pack(model: Model, parts: Sequence[Part], steps: Steps, head: Json) -> bytes:
    """Lay out a model for the browser.

    Parameters
    ----------
    model : Model
    parts : sequence of Part
        The model's own and then its surroundings, as listed in the head.
    steps : Steps
    head : dict
        What else the browser needs to know; the sizes of the arrays are added to it.

    Returns
    -------
    bytes
        The same for the same model.
    """
    vertices = [np.asarray(model.to_building(part.wall, part.vertices), "<f4") for part in parts]
    fixings = [
        np.hstack(
            [
                model.to_building(group.wall, group.heads),
                group.directions @ model.wall_by_name[group.wall].frame[:3, :3].T,
            ]
        ).astype("<f4")
        for group in model.fixings
    ]
    wide = any(len(part.vertices) > _UINT16_VERTICES for part in parts)
    index = "<u4" if wide else "<u2"
    head = {
        **head,
        "vertexCounts": [len(part.vertices) for part in parts],
        "triangleCounts": [len(part.faces) for part in parts],
        "fixingCounts": [len(group.heads) for group in model.fixings],
        "wide": wide,
    }
    text = json.dumps(head, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode("utf-8")
    text += b" " * (-len(text) % 4)
    blocks = [
        _joined(vertices, "<f4"),
        _joined(fixings, "<f4"),
        _joined(list(steps.fixings), "<u2"),
        _joined([part.faces for part in parts], index),
    ]
    return struct.pack("<I", len(text)) + text + b"".join(block + bytes(-len(block) % 4) for block in blocks)


def _joined(arrays: Sequence[NDArray[Any]], kind: str) -> bytes:
    return b"".join(np.ascontiguousarray(array, kind).tobytes() for array in arrays)

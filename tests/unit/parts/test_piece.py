"""Pieces turned into parts: what cannot be made is named by its mark."""

from __future__ import annotations

import pytest
import shapely

from cladmodel.errors import SolidError
from cladmodel.model import Kind
from cladmodel.parts.piece import Piece, to_parts, upright
from cladmodel.solids.plates import Plate


def piece(mark: str, taper: float) -> Piece:
    plate = Plate(polygon=shapely.box(0, 0, 900, 170), thickness=22, taper=taper, frame=upright(0.0))
    return Piece(mark=mark, kind=Kind.BOARD, wall="front", bodies=(plate,))


def test_a_piece_that_cannot_be_made_is_named():
    sound = piece("A01a", 0.07)
    with pytest.raises(SolidError, match=r"^front: board A02b cannot be made: its taper runs out"):
        to_parts([sound, piece("A02b", 0.2)])
    assert [part.mark for part in to_parts([sound])] == ["A01a"]

"""What every format with names must do: each piece there once, as large, and where the model has it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from cladmodel.model import Model

from .readers import FORMATS, Pieces, one_line, solid_volume, standing, threemf_pieces

SINGLE_PRECISION = 0.02  # mm: what a position may lose on the way into the file
EACH = pytest.mark.parametrize(("write", "read"), FORMATS.values(), ids=FORMATS)
Write, Read = Callable[[Model], bytes], Callable[[bytes], Pieces]


def assert_same_pieces(model: Model, found: Pieces) -> None:
    """Names and counts exactly, volumes to 0.1 %, every corner at its place."""
    assert sorted(found) == sorted(part.mark for part in model.parts)
    for part in model.parts:
        mesh = found[part.mark]
        assert mesh.is_volume, part.mark
        assert mesh.volume == pytest.approx(solid_volume(part), rel=1e-3), part.mark
        wanted = standing(model.to_building(part.wall, part.vertices))
        gap = np.linalg.norm(mesh.vertices[:, None] - wanted[None], axis=2)
        assert gap.min(axis=1).max() < SINGLE_PRECISION, part.mark
        assert gap.min(axis=0).max() < SINGLE_PRECISION, part.mark


@EACH
def test_every_piece_is_there_as_large_and_in_place(model: Model, write: Write, read: Read) -> None:
    assert_same_pieces(model, read(write(model)))


@EACH
def test_a_metre_of_board_measures_a_metre(model: Model, write: Write, read: Read) -> None:
    # The first board is 1000 mm long and stands in the wall that is not turned.
    assert read(write(model))["N01-1"].extents[0] == pytest.approx(1000.0, abs=SINGLE_PRECISION)


@EACH
def test_no_name_is_too_bad(hostile: Model, write: Write, read: Read) -> None:
    found = read(write(hostile))
    if read is threemf_pieces:  # this format's names are XML attributes, which hold no line ends
        named = {one_line(part.mark): part.mark for part in hostile.parts}
        found = {named[name]: mesh for name, mesh in found.items()}
    assert_same_pieces(hostile, found)


@EACH
def test_the_same_model_gives_the_same_bytes(model: Model, write: Write, read: Read) -> None:
    assert write(model) == write(replace(model))
    moved = replace(model.parts[0], vertices=model.parts[0].vertices + 1.0)
    assert write(model) != write(model.replace_parts([moved]))


# Not 3MF, whose reader here stumbles over an empty build: its own tests ask the standard's reader.
@pytest.mark.parametrize("name", sorted(set(FORMATS) - {"3mf"}))
def test_nothing_gives_a_file_with_nothing_in_it(model: Model, name: str) -> None:
    write, read = FORMATS[name]
    assert read(write(replace(model, parts=(), fixings=()))) == {}


@EACH
def test_a_part_of_a_wall_that_is_not_there_is_not_lost_in_silence(
    model: Model, write: Write, read: Read
) -> None:
    with pytest.raises(KeyError, match="West"):
        write(replace(model, parts=(replace(model.parts[0], wall="West"),)))

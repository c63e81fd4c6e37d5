"""Every piece comes out of one board that is long enough for all that is cut from it."""

from __future__ import annotations

import math
from collections import defaultdict

import pytest

from cladmodel.errors import SettingOutError
from cladmodel.model import Kind
from cladmodel.page.stock import stock_places

from ...building import Built

KERF, TRIM = 3, 15


def test_boards_hold_what_is_cut_from_them(seed_store: Built):
    boards = seed_store.model.of_kind(Kind.BOARD)
    places = stock_places(seed_store.model, [4800, 3600], kerf=KERF, end_trim=TRIM)
    assert set(places) == {part.mark for part in boards}
    held = defaultdict(list)
    for part in boards:
        place = places[part.mark]
        held[place.section, place.board, place.length, place.of].append((place.turn, part.cut_length_mm))
    for (_, _, length, of), pieces in held.items():
        assert length in (4800, 3600)
        assert sorted(turn for turn, _ in pieces) == list(range(1, of + 1))
        assert sum(p for _, p in pieces) + KERF * (len(pieces) - 1) + 2 * TRIM <= length + 1e-6
    numbers = sorted(number for _, number, _, _ in held)
    assert numbers == list(range(1, len(held) + 1))
    bought = sum(length for _, _, length, _ in held)
    used = sum(part.cut_length_mm for part in boards)
    assert bought >= used
    # As few as the pieces allow: every piece longer than half a board needs one of its own.
    alone = sum(part.cut_length_mm > 4800 / 2 for part in boards)
    assert len(held) >= max(alone, math.ceil(used / 4770))


def test_words_for_a_piece(wall: Built):
    place = stock_places(wall.model, [4800], kerf=KERF, end_trim=TRIM)["A01a"]
    assert str(place) == f"board {place.board} (4800), piece {place.turn} of {place.of}"


def test_a_board_too_short_is_said(wall: Built):
    with pytest.raises(SettingOutError, match="longer than a board"):
        stock_places(wall.model, [1200], kerf=KERF, end_trim=TRIM)

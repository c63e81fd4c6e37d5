"""Rod, cut list and quantities, read off the solids."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from cladmodel.model import Kind, Model, Use
from cladmodel.schedules.board_shape import board_shape
from cladmodel.schedules.cutlist import PENCIL, Ends, cut_list, group_equal
from cladmodel.schedules.quantities import areas, fixing_quantities, piece_length, quantities
from cladmodel.schedules.rod import rod


def test_rod_is_the_rod_as_set_out(model: Model) -> None:
    wall = model.walls[0]
    marks = rod(model, wall)
    assert [mark.course for mark in marks] == list(range(1, len(wall.rod)))
    assert [mark.from_foot for mark in marks] == pytest.approx(wall.rod[:-1].tolist(), abs=1e-6)
    assert [mark.from_foot + mark.from_head for mark in marks] == pytest.approx([wall.head] * len(marks))
    assert marks[-1].gauge is None
    assert [mark.gauge for mark in marks[:-1]] == pytest.approx(np.diff(wall.rod[:-1]).tolist(), abs=1e-6)


def test_a_board_out_of_level_shows_in_the_rod(model: Model) -> None:
    wall = model.walls[0]
    boards = [p for p in model.of_kind(Kind.BOARD) if p.course == 8]
    assert len(boards) >= 2
    raised = boards[0].with_vertices(boards[0].vertices + np.array([0.0, 1.5, 0.0]))
    mark = rod(model.replace_parts([raised]), wall)[7]
    assert mark.spread == pytest.approx(1.5, abs=1e-6)
    assert rod(model, wall)[7].spread == pytest.approx(0.0, abs=1e-6)


def test_lengths_and_widths_are_those_of_the_solids(model: Model) -> None:
    pieces = {piece.mark: piece for piece in cut_list(model, model.walls[0])}
    boards = model.of_kind(Kind.BOARD)
    assert set(pieces) == {board.mark for board in boards}
    for board in boards:
        assert pieces[board.mark].length == pytest.approx(np.ptp(board.vertices[:, 0]), abs=1e-9)
        assert pieces[board.mark].length == pytest.approx(board.cut_length_mm, abs=1e-6)
    stretched = boards[0].with_vertices(boards[0].vertices * [1.1, 1.0, 1.0])
    again = cut_list(model.replace_parts([stretched]), model.walls[0])
    (piece,) = [one for one in again if one.mark == boards[0].mark]
    assert piece.length == pytest.approx(1.1 * pieces[boards[0].mark].length)


def test_ripped_boards_are_those_of_the_top_course(model: Model) -> None:
    pieces = cut_list(model, model.walls[0])
    top = max(piece.course for piece in pieces)
    assert all(piece.ripped for piece in pieces if piece.course == top)
    assert all(
        piece.width == pytest.approx(pieces[0].width, abs=1e-6) for piece in pieces if not piece.ripped
    )


def test_notches_fill_what_is_missing_of_the_board(model: Model) -> None:
    notched = [p for p in model.of_kind(Kind.BOARD) if board_shape(p).notches]
    assert len(notched) >= 2
    opening = model.walls[0].openings[0]
    for part in notched:
        shape = board_shape(part)
        missing = sum((n.right - n.left) * n.depth for n in shape.notches)
        missing += sum(cut.shorter * shape.width / 2 for cut in shape.end_cuts)
        assert shape.length * shape.width - shape.area == pytest.approx(missing, rel=1e-9)
        left = part.vertices[:, 0].min()
        for notch in shape.notches:
            assert left + notch.left < opening.right + 100
            assert left + notch.right > opening.left - 100
            low = part.vertices[:, 1].min() < (opening.sill + opening.head) / 2
            assert notch.edge == ("thin edge" if low else "butt")


def test_a_leaning_post_shows_as_end_cuts(model: Model) -> None:
    # The wall is 6 longer at its head: 2 in the lower half, 4 in the upper; each board has its share.
    found = [(p, cut) for p in model.of_kind(Kind.BOARD) for cut in board_shape(p).end_cuts]
    assert found
    for part, cut in found:
        assert (cut.end, cut.edge) == ("right", "butt")
        rise = np.ptp(part.vertices[:, 1])
        slopes = [2 / (model.walls[0].head / 2), 4 / (model.walls[0].head / 2)]
        assert min(slopes) * rise * 0.9 < cut.shorter < max(slopes) * rise * 1.1


def test_area_of_the_outline_is_that_of_the_mesh(model: Model) -> None:
    for part in model.of_kind(Kind.BOARD):
        mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
        back = mesh.area_faces[mesh.face_normals[:, 2] < -0.9].sum()
        assert board_shape(part).area == pytest.approx(back, rel=1e-9)


def test_equal_pieces_are_grouped_and_none_is_lost(model: Model) -> None:
    pieces = cut_list(model, model.walls[0])
    groups = group_equal(pieces)
    assert sorted(m for group in groups for m in group.marks) == sorted(piece.mark for piece in pieces)
    by_mark = {piece.mark: piece for piece in pieces}
    for group in groups:
        for mark in group.marks:
            assert abs(by_mark[mark].length - group.length) < PENCIL
            assert abs(by_mark[mark].width - group.width) < PENCIL
    assert len(groups) < len(pieces)


def test_every_piece_and_fixing_is_counted_once(model: Model) -> None:
    rows = quantities(model)
    assert sum(row.count for row in rows) == len(model.parts)
    assert sum(row.count for row in fixing_quantities(model)) == sum(len(f.heads) for f in model.fixings)
    battens = [row for row in rows if row.kind is Kind.BATTEN]
    total = sum(p.cut_length_mm for p in model.of_kind(Kind.BATTEN))
    assert sum(row.total_length or 0 for row in battens) == pytest.approx(total)
    nails = sum(row.count for row in fixing_quantities(model) if row.use is Use.BOARD)
    assert nails == sum(len(f.heads) for f in model.fixings_for(Use.BOARD))


def test_lengths_agree_with_what_the_parts_were_cut_to(model: Model) -> None:
    for part in model.parts:
        if part.kind not in (Kind.SHEATHING, Kind.MEMBRANE, Kind.PACKER, Kind.FLASHING, Kind.VENT_STRIP):
            assert piece_length(part) == pytest.approx(part.cut_length_mm, abs=0.01), part.mark


def test_areas(model: Model) -> None:
    wall = model.walls[0]
    x, y = wall.outline.T
    outline = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
    opening = wall.openings[0]
    hole = (opening.right - opening.left) * (opening.head - opening.sill)
    found = areas(model)
    assert found.clad == pytest.approx(outline - hole)
    assert found.boards > found.clad  # laps
    sheets = [row for row in quantities(model) if row.kind is Kind.MEMBRANE]
    assert sum(row.total_area or 0 for row in sheets) == pytest.approx(outline - hole, rel=0.05)


def test_rake_cuts_are_told_from_notches(building: Model) -> None:
    raked = [
        piece for wall in building.walls for piece in cut_list(building, wall) if piece.ends is Ends.RAKE
    ]
    assert {piece.mark[0] for piece in raked} == {"B", "D", "F"}  # the walls under the slope
    by_mark = {part.mark: board_shape(part) for part in building.of_kind(Kind.BOARD)}
    part_way = 0
    for piece in raked:
        shape = by_mark[piece.mark]
        wedges = sum(cut.shorter * cut.rise / 2 for cut in shape.end_cuts)
        missing = wedges + sum((n.right - n.left) * n.depth for n in shape.notches)
        assert shape.length * shape.width - shape.area == pytest.approx(missing, rel=1e-6)
        part_way += any(cut.rise < shape.width - 1 for cut in shape.end_cuts)
    assert part_way >= 1  # a rake that begins part way up an end is no notch either

"""Every figure on the section sheet against a section of the same solids by trimesh."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from cladmodel.drawings.primitives import Angle, Sheet
from cladmodel.drawings.section import section_sheet
from cladmodel.drawings.section_opening import top_fall
from cladmodel.drawings.view import figure
from cladmodel.model import Kind, Model, Part, Use
from cladmodel.schedules.cut_lines import opening_cut, plain_cut

SEEN = 0.02  # mm: what a drawing's figure may differ from another program's section


def corners(part: Part, x: float) -> np.ndarray:
    """(n, 2) z and y where trimesh cuts a part."""
    mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
    cut = mesh.section(plane_origin=[x, 0, 0], plane_normal=[1, 0, 0])
    return np.empty((0, 2)) if cut is None else np.unique(np.round(cut.vertices[:, [2, 1]], 9), axis=0)


def board_arrises(part: Part, x: float) -> dict[str, np.ndarray]:
    """Lowest, topmost, innermost and outermost corner: a leaning board's four arrises."""
    points = corners(part, x)
    return {
        "back_foot": points[np.argmin(points[:, 1])],
        "face_top": points[np.argmax(points[:, 1])],
        "back_top": points[np.argmin(points[:, 0])],
        "face_foot": points[np.argmax(points[:, 0])],
    }


class Measured:
    """The main cut, measured by trimesh alone."""

    def __init__(self, model: Model) -> None:
        self.wall = model.walls[0]
        self.x = plain_cut(model, self.wall)
        spans = [p for p in model.parts if p.vertices[:, 0].min() < self.x < p.vertices[:, 0].max()]
        self.parts = spans
        boards = sorted(
            (p for p in spans if p.kind is Kind.BOARD), key=lambda p: (p.course, p.vertices[:, 1].min())
        )
        self.boards = [board_arrises(p, self.x) for p in boards]
        self.model = model

    def of(self, kind: Kind) -> np.ndarray:
        return np.concatenate([corners(p, self.x) for p in self.parts if p.kind is kind])

    def middle(self) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
        """Two boards in the middle of the wall, the upper one nailed here."""
        laps = len(self.boards) - 1
        order = sorted(range(laps), key=lambda n: (not self.nailed(self.boards[n + 1]), abs(n - laps // 2)))
        return self.boards[order[0]], self.boards[order[0] + 1]

    def nailed(self, board: dict[str, np.ndarray]) -> bool:
        heads = np.concatenate([g.heads for g in self.model.fixings_for(Use.BOARD)])
        (batten,) = [p for p in self.parts if p.kind is Kind.BATTEN]
        a, b = batten.vertices[:, 0].min(), batten.vertices[:, 0].max()
        low, high = board["back_foot"][1], board["back_foot"][1] + 80
        return bool(
            ((heads[:, 0] > a) & (heads[:, 0] < b) & (heads[:, 1] > low) & (heads[:, 1] < high)).any()
        )

    def nail_height(self, low: float, high: float) -> float:
        (batten,) = [p for p in self.parts if p.kind is Kind.BATTEN]
        a, b = batten.vertices[:, 0].min(), batten.vertices[:, 0].max()
        heads = np.concatenate([g.heads for g in self.model.fixings_for(Use.BOARD)])
        (y,) = set(
            np.round(
                heads[(heads[:, 0] > a) & (heads[:, 0] < b) & (heads[:, 1] > low) & (heads[:, 1] < high), 1],
                6,
            )
        )
        return float(y)


def drawn(sheet: Sheet, what: str) -> list[float]:
    return [d.value for d in sheet.dimensions if d.what == what]


@pytest.fixture(scope="module")
def sheet(model: Model) -> Sheet:
    return section_sheet(model, model.walls[0].name)


def test_lap_detail(model: Model, sheet: Sheet) -> None:
    lower, upper = Measured(model).middle()
    up = lower["back_top"] - lower["back_foot"]
    up /= np.linalg.norm(up)
    assert drawn(sheet, "lap") == pytest.approx(
        [float((lower["back_top"] - upper["back_foot"]) @ up)], abs=SEEN
    )
    assert drawn(sheet, "plumb lap") == pytest.approx(
        [lower["face_top"][1] - upper["back_foot"][1]], abs=SEEN
    )
    assert drawn(sheet, "butt") == pytest.approx(
        [np.linalg.norm(upper["face_foot"] - upper["back_foot"])], abs=SEEN
    )
    assert drawn(sheet, "thin edge") == pytest.approx(
        [np.linalg.norm(lower["face_top"] - lower["back_top"])], abs=SEEN
    )
    lean = upper["back_foot"] - upper["back_top"]
    (tilt,) = [a.value for a in sheet.primitives if isinstance(a, Angle) and a.what == "tilt"]
    assert tilt == pytest.approx(math.atan2(lean[0], -lean[1]), abs=1e-5)
    assert upper["back_foot"][0] == pytest.approx(drawn(sheet, "kick-out")[0], abs=SEEN)


def test_nail(model: Model, sheet: Sheet) -> None:
    measured = Measured(model)
    lower, upper = measured.middle()
    y = measured.nail_height(upper["back_foot"][1], upper["face_top"][1] - 60)
    above = y - lower["face_top"][1]
    assert drawn(sheet, "nail above board below") == pytest.approx([above] if above > 0 else [], abs=SEEN)
    share = (y - upper["face_foot"][1]) / (upper["face_top"][1] - upper["face_foot"][1])
    face = np.linalg.norm(upper["face_top"] - upper["face_foot"])
    (up_face,) = drawn(sheet, "nail up the face")
    # The nail's line meets the face there; its head bears no further from it than a head's tilt allows.
    assert up_face == pytest.approx(share * face, abs=1.0)
    (fixing,) = model.fixings_for(Use.BOARD)
    heads = fixing.heads[np.abs(fixing.heads[:, 1] - y) < 1e-3]
    depth = fixing.fastener.length - heads[0, 2]
    assert drawn(sheet, "nail penetration") == pytest.approx([min(depth, 25.0)], abs=SEEN)


def test_foot(model: Model, sheet: Sheet) -> None:
    measured = Measured(model)
    first, second = measured.boards[:2]
    starter = measured.of(Kind.STARTER)
    foot = starter[starter[:, 1] < 200]
    assert drawn(sheet, "starter thickness") == pytest.approx([np.ptp(foot[:, 0])], abs=SEEN)
    assert drawn(sheet, "nose") == pytest.approx([first["face_foot"][0]], abs=SEEN)
    assert first["back_foot"][0] == pytest.approx(drawn(sheet, "kick-out")[-1], abs=SEEN)
    assert drawn(sheet, "gauge")[0] == pytest.approx(second["back_foot"][1] - first["back_foot"][1], abs=SEEN)
    clearance = min(b["back_foot"][1] for b in measured.boards) - measured.wall.ground
    shown = drawn(sheet, "ground clearance")  # on the whole section, and on the foot if there is room
    assert 1 <= len(shown) <= 2
    assert shown == pytest.approx([clearance] * len(shown), abs=SEEN)
    width = np.linalg.norm(second["back_top"] - second["back_foot"])
    assert drawn(sheet, "board width") == pytest.approx([width], abs=SEEN)


def test_layers_and_head(model: Model, sheet: Sheet) -> None:
    measured = Measured(model)
    assert drawn(sheet, "batten thickness") == pytest.approx(
        [np.ptp(measured.of(Kind.BATTEN)[:, 0])], abs=SEEN
    )
    assert drawn(sheet, "stud depth") == pytest.approx([np.ptp(measured.of(Kind.STUD)[:, 0])], abs=SEEN)
    innermost = min(min(b["back_top"][0], 0.0) for b in measured.boards)
    cavity = innermost - measured.of(Kind.MEMBRANE)[:, 0].max()
    assert drawn(sheet, "cavity") == pytest.approx([cavity], abs=SEEN)
    top = measured.boards[-1]
    soffit = float(np.interp(measured.x, *measured.wall.top_line.T))
    assert drawn(sheet, "over the top board") == pytest.approx([soffit - top["face_top"][1]], abs=SEEN)
    assert drawn(sheet, "top board width") == pytest.approx(
        [np.linalg.norm(top["back_top"] - top["back_foot"])], abs=SEEN
    )
    # The fillet's back is plumb; the nearest board corner or face point lies level with its foot.
    fillet = measured.of(Kind.FILLET)
    (gap,) = drawn(sheet, "air gap at the fillet")
    low, back = fillet[:, 1].min(), fillet[:, 0].min()
    face = top["face_top"] - top["face_foot"]
    normal = np.array([face[1], -face[0]]) / np.linalg.norm(face)
    assert gap == pytest.approx(float((np.array([back, low]) - top["face_foot"]) @ normal), abs=SEEN)


def test_sill(window: Model) -> None:
    sheet = section_sheet(window, "north")
    wall = window.walls[0]
    x = opening_cut(window, wall, wall.openings[0])
    (sill,) = window.of_kind(Kind.SILL)
    points = corners(sill, x)
    below = [
        board_arrises(p, x)
        for p in window.of_kind(Kind.BOARD)
        if p.vertices[:, 0].min() < x < p.vertices[:, 0].max() and p.vertices[:, 1].min() < 850
    ]
    nose = max(b["face_foot"][0] for b in below)
    assert drawn(sheet, "sill past the boards") == pytest.approx([points[:, 0].max() - nose], abs=SEEN)
    (clear,) = drawn(sheet, "air under the sill")
    top = max(b["face_top"][1] for b in below)
    assert 0 < clear <= points[:, 1].max() - top


def test_every_line_is_as_long_as_its_figure_says(sheet: Sheet) -> None:
    assert len(sheet.dimensions) >= 15
    for d in sheet.dimensions:
        length = abs(
            (d.end[0] - d.start[0]) * math.cos(d.angle) + (d.end[1] - d.start[1]) * math.sin(d.angle)
        )
        assert length * d.scale == pytest.approx(d.value, abs=1e-6), d.what
        assert d.text.endswith(figure(d.value))


def test_a_board_moved_down_changes_the_figures(bare: Model) -> None:
    def sheet(model: Model) -> Sheet:
        return section_sheet(model, model.walls[0].name, x=plain_cut(bare, bare.walls[0]))

    before = sheet(bare)
    lower, upper = Measured(bare).middle()
    del lower
    moved = [
        p.with_vertices(p.vertices - [0, 1.0, 0])
        for p in bare.of_kind(Kind.BOARD)
        if abs(p.vertices[:, 1].min() - upper["back_foot"][1]) < 1e-6
    ]
    after = sheet(bare.replace_parts(moved))
    assert drawn(after, "plumb lap")[0] - drawn(before, "plumb lap")[0] == pytest.approx(1.0, abs=1e-6)
    assert drawn(after, "butt") == pytest.approx(drawn(before, "butt"))


def test_the_fall_of_a_sill_is_its_longest_upper_edge() -> None:
    from shapely.geometry import Polygon

    slope = Polygon([(0, 0), (100, 0), (100, 20), (0, 30)])
    assert math.degrees(top_fall(slope)) == pytest.approx(math.degrees(math.atan(0.1)))


def test_whole_millimetres_are_written_plain() -> None:
    assert [figure(v) for v in (131.0, 131.04, 131.06, 15.6045, 0.4)] == [
        "131",
        "131",
        "131.1",
        "15.6",
        "0.4",
    ]

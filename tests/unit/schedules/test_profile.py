"""Figures read off a cut against the closed form for endless equal courses."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cladmodel.model import Fastener, Fixings, Kind, Model, Part, Use, Wall
from cladmodel.schedules.profile import profile
from cladmodel.solids.plates import Plate, frame, lift

# width, butt, thin edge, gauge: tilt [deg], kick-out, lap, plumb lap, gap. Own arithmetic.
TABLE = [
    (170, 22, 9, 131, 5.266661, 15.604501, 39.553046, 39.108428, 3.024645),
    (150, 20, 8, 115, 5.409265, 14.140396, 35.512126, 35.086164, 2.840970),
    (225, 32, 10, 180, 4.606722, 18.071072, 45.581497, 45.076288, 4.456857),
    (170, 22, 9, 165, 3.266885, 9.687793, 5.268138, 5.236619, 0.402858),
    (120, 18, 18, 100, 10.369760, 21.600000, 21.633339, 21.279993, 0.000000),
]
NAIL = Fastener(
    name="n",
    diameter=2.65,
    length=50.0,
    head_diameter=6.0,
    head_thickness=1.0,
    headed=True,
    ringed=True,
    material="steel",
)


def two_boards(width: float, butt: float, thin: float, gauge: float) -> Model:
    """Two courses and a batten, hung by the closed form."""
    k = (butt - thin) / width
    tilt = math.asin(butt / (gauge * math.sqrt(1 + k * k))) - math.atan(k)
    up = (0.0, math.cos(tilt), -math.sin(tilt))
    kick = width * math.sin(tilt)
    boards = lift(
        [
            Plate(
                polygon=shapely.box(0, 0, 1000, width),
                thickness=butt,
                taper=k,
                frame=frame((0.0, n * gauge, kick), (1.0, 0.0, 0.0), up),
            )
            for n in (0, 1)
        ]
    )
    (batten,) = lift(
        [
            Plate(
                polygon=shapely.box(480, 0, 520, 500),
                thickness=25.0,
                frame=frame((0.0, 0.0, -25.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
            )
        ]
    )
    parts = [
        Part(mark=f"A{n + 1}", kind=Kind.BOARD, wall="w", course=n + 1, vertices=b.vertices, faces=b.faces)
        for n, b in enumerate(boards)
    ]
    parts.append(Part(mark="B", kind=Kind.BATTEN, wall="w", vertices=batten.vertices, faces=batten.faces))
    # One nail, level, 12 above the lower board's top, its head on the face of the upper board.
    y = width * math.cos(tilt) + thin * math.sin(tilt) + 12.0
    up_back = (y - gauge - butt * math.sin(tilt)) / (math.cos(tilt) - k * math.sin(tilt))
    z = kick - up_back * math.sin(tilt) + (butt - k * up_back) * math.cos(tilt)
    nails = Fixings(
        mark="N",
        wall="w",
        use=Use.BOARD,
        fastener=NAIL,
        heads=np.array([[500.0, y, z]]),
        directions=np.array([[0.0, 0.0, -1.0]]),
        concealed=False,
    )
    wall = Wall(
        name="w",
        frame=np.eye(4),
        length=1000.0,
        outline=np.array([[0, 0], [1000, 0], [1000, 400], [0, 400.0]]),
        ground=-150.0,
        head=420.0,
        openings=(),
        rod=np.array([0.0, gauge, 2 * gauge]),
        depth_to_frame=35.0,
        frame_depth=145.0,
    )
    return Model(title="two boards", walls=(wall,), parts=tuple(parts), fixings=(nails,))


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0]}-{row[1]}-{row[2]}-{row[3]}")
def test_closed_form(row: tuple[float, ...]) -> None:
    width, butt, thin, gauge, tilt, kick, lap, plumb, gap = row
    model = two_boards(width, butt, thin, gauge)
    cut = profile(model, model.walls[0], 510.0)
    (one,) = cut.laps
    assert one.lap == pytest.approx(lap, abs=1e-6)
    assert one.plumb_lap == pytest.approx(plumb, abs=1e-6)
    assert one.gauge == pytest.approx(gauge, abs=1e-9)
    assert one.gap == pytest.approx(gap, abs=1e-6)
    assert math.degrees(one.upper.tilt) == pytest.approx(tilt, abs=1e-6)
    assert one.upper.kick_out == pytest.approx(kick, abs=1e-6)
    assert (one.upper.width, one.upper.butt, one.upper.thin_edge) == pytest.approx((width, butt, thin))


def test_nail() -> None:
    model = two_boards(170, 22, 9, 131)
    (nail,) = profile(model, model.walls[0], 510.0).nails
    assert nail.board.mark == "A2"
    assert nail.above_board_below == pytest.approx(12.0, abs=1e-9)
    assert nail.penetration == pytest.approx(50.0 - nail.head[0], abs=1e-9)
    # The head lies on the face, so along the face is a plain distance.
    assert nail.up_face == pytest.approx(math.dist(nail.head, nail.board.face_foot), abs=1e-9)


def test_clearances() -> None:
    model = two_boards(170, 22, 9, 131)
    cut = profile(model, model.walls[0], 510.0)
    assert cut.ground_clearance == pytest.approx(150.0)
    assert cut.cavity is None  # no membrane is cut
    assert cut.fillet_gap is None


def test_no_lap_across_an_opening(model: Model) -> None:
    wall = model.walls[0]
    (opening,) = wall.openings
    cut = profile(model, wall, (opening.left + opening.right) / 2)
    assert all(
        lap.lower.back_foot[1] > opening.head - 60 or lap.upper.back_foot[1] < opening.sill
        for lap in cut.laps
    )
    assert len(cut.laps) >= 6

"""Dimensions, leaders and angles turned into lines."""

from __future__ import annotations

import itertools
import math

import pytest

from cladmodel.drawings.layout import Label, Room, label_stack
from cladmodel.drawings.lettering import text_box, wrap
from cladmodel.drawings.primitives import Across, Angle, Dimension, Layer, Leader, Line, Polyline, Text
from cladmodel.drawings.strokes import strokes, texts


def dimension(end: tuple[float, float], text: str, angle: float = 0.0, outside: int = 0) -> Dimension:
    return Dimension(
        what="gauge",
        value=100.0,
        scale=1.0,
        start=(10.0, 10.0),
        end=end,
        angle=angle,
        through=(0.0, 30.0) if angle == 0.0 else (5.0, 0.0),
        text=text,
        outside=outside,
    )


def test_a_dimension_line_runs_between_the_feet() -> None:
    lines = [s for s in strokes([dimension((60.0, 14.0), "50")]) if isinstance(s, Line)]
    assert any(line.start == (10.0, 30.0) and line.end == (60.0, 30.0) for line in lines)
    assert len(lines) == 5  # two extension lines, the line, two ticks


def test_a_figure_stands_over_the_middle_or_outside_if_it_does_not_fit() -> None:
    (fits,) = texts([dimension((60.0, 10.0), "50")])
    assert fits.at == pytest.approx((35.0, 30.9))
    (does_not,) = texts([dimension((14.0, 10.0), "ground 4")])
    assert text_box(does_not).bounds[0] > 14.0
    (before,) = texts([dimension((14.0, 10.0), "ground 4", outside=-1)])
    assert text_box(before).bounds[2] < 10.0


def test_upright_figures_read_from_the_right() -> None:
    (up,) = texts([dimension((10.0, 60.0), "50", angle=math.pi / 2)])
    assert up.angle == pytest.approx(math.pi / 2)
    assert up.at == pytest.approx((4.1, 35.0))


def test_an_angle_is_an_arc_of_its_radius() -> None:
    angle = Angle(
        what="tilt",
        value=0.1,
        centre=(5.0, 5.0),
        radius=20.0,
        start=1.5,
        end=1.6,
        text="tilt",
        text_at=(5, 30),
    )
    (arc,) = [s for s in strokes([angle]) if isinstance(s, Polyline)]
    assert [math.dist((5.0, 5.0), p) for p in arc.points] == pytest.approx([20.0] * len(arc.points))
    assert math.atan2(arc.points[-1][1] - 5, arc.points[-1][0] - 5) == pytest.approx(1.6)


def test_a_leaders_first_line_is_bold() -> None:
    leader = Leader(points=((0.0, 0.0), (20.0, 5.0)), lines=("Batten 25", "open bay"), across=Across.LEFT)
    first, second = texts([leader])
    assert (first.bold, second.bold) == (True, False)
    assert second.at[1] < first.at[1]


def test_an_arrow_has_its_head_at_the_last_point() -> None:
    shapes = list(strokes([Polyline(layer=Layer.AIR, points=((0.0, 0.0), (0.0, 10.0)), arrow=True)]))
    assert shapes[1].outline[0] == (0.0, 10.0)


def test_stacked_labels_keep_apart_and_in_their_room() -> None:
    room = Room(left=50.0, bottom=10.0, right=100.0, top=60.0)
    labels = [Label(target=(10.0 + n, 35.0), lines=("Batten 25", "open")) for n in range(5)]
    leaders = list(label_stack(labels, room))
    heights = [leader.points[-1][1] for leader in leaders]
    assert all(a - b >= labels[0].height - 1e-9 for a, b in itertools.pairwise(heights))
    assert max(heights) <= room.top
    assert min(heights) - labels[0].height >= room.bottom - 2.5


def test_wrapped_lines_fit() -> None:
    lines = wrap("gloves, mask and eye protection when sawing", 40.0, 2.5)
    assert len(lines) > 1
    assert " ".join(lines) == "gloves, mask and eye protection when sawing"
    assert all(text_box(Text(at=(0.0, 0.0), text=line)).bounds[2] <= 40.0 for line in lines)

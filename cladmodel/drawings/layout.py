"""The parts of a sheet that every drawing shares: frame, title block, cautions, headings, label stacks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cladmodel.drawings.lettering import LINE_PITCH, fit, text_width, wrap
from cladmodel.drawings.primitives import (
    A3,
    INK,
    SMALLEST_LETTERS,
    Across,
    Fill,
    Layer,
    Leader,
    Line,
    Point,
    Polyline,
    Primitive,
    Text,
)
from cladmodel.schedules.cautions import CAUTIONS, HEADING, MODEL_ONLY

# Our own sheet, on A3. [mm on paper]
MARGIN = 8.0
STRIP = 36.0  # height of the strip along the foot of the sheet
TITLE_BLOCK = 122.0  # its width
PAD = 3.0
HEADING_LETTERS = 3.2
TITLE_LETTERS = 4.5
NECK = 4.0  # level end of a leader


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A rectangle of paper.

    Attributes
    ----------
    left, bottom, right, top : float
        [mm on paper]
    """

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """[mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """[mm]."""
        return self.top - self.bottom


FRAME = Room(left=MARGIN, bottom=MARGIN, right=A3[0] - MARGIN, top=A3[1] - MARGIN)
DRAWING = Room(
    left=MARGIN + PAD, bottom=MARGIN + STRIP + PAD, right=A3[0] - MARGIN - PAD, top=A3[1] - MARGIN - PAD
)
"""Room for views."""


def outline(room: Room, layer: Layer = Layer.FRAME) -> Polyline:
    """The edge of a room."""
    return Polyline(
        layer=layer,
        points=(
            (room.left, room.bottom),
            (room.right, room.bottom),
            (room.right, room.top),
            (room.left, room.top),
            (room.left, room.bottom),
        ),
    )


def surround(title: str, sheet_name: str, facts: Sequence[str], bar_scale: float) -> Iterator[Primitive]:
    """Frame, cautions and title block.

    Parameters
    ----------
    title : str
        Of the job.
    sheet_name : str
    facts : sequence of str
        At most two lines.
    bar_scale : float
        Scale of the scale bar. [-]
    """
    yield outline(FRAME)
    top = FRAME.bottom + STRIP
    split = FRAME.right - TITLE_BLOCK
    yield Line(layer=Layer.FRAME, start=(FRAME.left, top), end=(FRAME.right, top))
    yield Line(layer=Layer.FRAME, start=(split, FRAME.bottom), end=(split, top))
    yield from _cautions(Room(left=FRAME.left, bottom=FRAME.bottom, right=split, top=top))
    room = Room(left=split, bottom=FRAME.bottom, right=FRAME.right, top=top)
    yield from _title_block(room, title, sheet_name, facts, bar_scale)


def _cautions(room: Room) -> Iterator[Primitive]:
    x, y = room.left + PAD, room.top - PAD - HEADING_LETTERS
    yield Text(layer=Layer.NOTE, at=(x, y), text=HEADING, height=HEADING_LETTERS, bold=True)
    beside = x + text_width(HEADING, HEADING_LETTERS, bold=True) + 4
    yield Text(layer=Layer.NOTE, at=(beside, y), text=MODEL_ONLY, bold=True)
    pitch = SMALLEST_LETTERS * 1.6
    width = (room.width - 3 * PAD) / 2
    columns = (CAUTIONS[: len(CAUTIONS) // 2], CAUTIONS[len(CAUTIONS) // 2 :])
    for number, column in enumerate(columns):
        left, base = x + number * (width + PAD), y - 5.2
        for topic, words in column:
            for line in wrap(f"{topic}: {words}", width, SMALLEST_LETTERS):
                yield Text(layer=Layer.NOTE, at=(left, base), text=line)
                base -= pitch


def _title_block(
    room: Room, title: str, sheet_name: str, facts: Sequence[str], bar_scale: float
) -> Iterator[Primitive]:
    x, width = room.left + PAD, room.width - 2 * PAD
    y = room.top - PAD - TITLE_LETTERS
    letters = TITLE_LETTERS if text_width(title, TITLE_LETTERS, bold=True) <= width else HEADING_LETTERS
    yield Text(at=(x, y), text=fit(title, width, letters, bold=True), height=letters, bold=True)
    y -= 6.2
    yield Text(at=(x, y), text=fit(sheet_name, width, HEADING_LETTERS), height=HEADING_LETTERS)
    for fact in facts:
        y -= 4.6
        yield Text(at=(x, y), text=fit(fact, width, SMALLEST_LETTERS))
    yield from scale_bar((x, room.bottom + PAD), bar_scale)


def scale_bar(at: Point, scale: float) -> Iterator[Primitive]:
    """Four blocks, black and white in turn, with the lengths they stand for."""
    step = next(s for s in (10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000) if s / scale >= 10)
    x, y = at
    for n in range(4):
        left, right = x + n * step / scale, x + (n + 1) * step / scale
        yield Fill(
            layer=Layer.SEEN,
            outline=((left, y), (right, y), (right, y + 1.4), (left, y + 1.4)),
            colour=INK if n % 2 == 0 else "#ffffff",
        )
    for n in (0, 2, 4):
        yield Text(
            at=(x + n * step / scale, y + 2.4),
            text=f"{n * step}",
            across=Across.LEFT if n == 0 else Across.MIDDLE,
        )
    end = x + 4 * step / scale
    yield Text(at=(end + 7, y), text=f"mm at {scale_name(scale)} on A3")


def scale_name(scale: float) -> str:
    """Write a scale as a carpenter says it."""
    return "full size" if scale == 1 else f"1:{scale:g}"


def heading(room: Room, letter: str, words: str, scale: float) -> Iterator[Primitive]:
    """A view's heading in the top left corner of its room, lettered if another view points to it."""
    left, y = room.left, room.top - HEADING_LETTERS
    if letter:
        yield Text(at=(left, y), text=letter, height=HEADING_LETTERS, bold=True)
        left += text_width(letter, HEADING_LETTERS, bold=True) + 2.5
    text = fit(f"{words}, {scale_name(scale)}", room.right - left, HEADING_LETTERS)
    yield Text(at=(left, y), text=text, height=HEADING_LETTERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words that belong to a point.

    Attributes
    ----------
    target : Point
        [mm on paper]
    lines : tuple of str
        First line bold.
    """

    target: Point
    lines: tuple[str, ...]

    @property
    def height(self) -> float:
        """Room its lines take, with a little air. [mm]"""
        return len(self.lines) * LINE_PITCH * SMALLEST_LETTERS + 1.2


def label_stack(labels: Sequence[Label], room: Room, across: Across = Across.LEFT) -> Iterator[Leader]:
    """Stack labels in a column without overlaps, each as near its target's height as can be.

    Parameters
    ----------
    labels : sequence of Label
    room : Room
        The column; leaders come in on its left (LEFT) or right (RIGHT) edge.
    across : Across
        LEFT: words run to the right.
    """
    ordered = _uncrossed(sorted(labels, key=lambda label: -label.target[1]), room, across)
    edge = room.left if across is Across.LEFT else room.right
    neck = -NECK if across is Across.LEFT else NECK
    words = room.width - 1.5
    for label, y in zip(ordered, _heights(ordered, room), strict=True):
        lines = tuple(
            fit(line, words, SMALLEST_LETTERS, bold=row == 0) for row, line in enumerate(label.lines)
        )
        yield Leader(points=(label.target, (edge + neck, y), (edge, y)), lines=lines, across=across)


def _heights(labels: Sequence[Label], room: Room) -> list[float]:
    """Height of each leader's end: first lines stand level with it."""
    above = SMALLEST_LETTERS / 2
    heights: list[float] = []
    ceiling = room.top
    for label in labels:
        heights.append(min(label.target[1], ceiling - above))
        ceiling = heights[-1] + above - label.height
    floor = room.bottom
    for n in range(len(labels) - 1, -1, -1):
        heights[n] = max(heights[n], floor + labels[n].height - above)
        floor = heights[n] + above
    return heights


def _uncrossed(labels: list[Label], room: Room, across: Across) -> list[Label]:
    """Swap neighbours whose leaders would cross."""
    edge = room.left - NECK if across is Across.LEFT else room.right + NECK
    for _ in labels:
        heights = _heights(labels, room)
        crossed = [
            n
            for n in range(len(labels) - 1)
            if _cross(labels[n].target, (edge, heights[n]), labels[n + 1].target, (edge, heights[n + 1]))
        ]
        if not crossed:
            break
        for n in crossed[:1]:
            labels[n], labels[n + 1] = labels[n + 1], labels[n]
    return labels


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0

"""Cut diagrams: each board bought as a bar to scale, its pieces in the order in which they are sawn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from cladmodel.drawings.layout import HEADING_LETTERS
from cladmodel.drawings.lettering import text_width, wrap
from cladmodel.drawings.materials import BOARD_FACE
from cladmodel.drawings.page import BODY, page
from cladmodel.drawings.primitives import (
    INK,
    SMALLEST_LETTERS,
    Across,
    Fill,
    Hatch,
    Layer,
    Primitive,
    Sheet,
    Text,
)
from cladmodel.drawings.view import figure
from cladmodel.schedules.cutplan import CutSheet, Pattern, StockBoard, patterns

_BAR = 7.0
"""Height of a bar. [mm on paper]"""
_LINE = SMALLEST_LETTERS * 1.6
"""From one line of lettering to the next. [mm on paper]"""
_WASTE = "#d8d4cc"
_ROOM_IN_BAR = 1.5
"""White beside a figure in its piece. [mm on paper]"""


def cut_diagram_pages(plan: CutSheet, title: str) -> list[Sheet]:
    """Draw every board bought; boards sawn alike are drawn once, with all their marks.

    Parameters
    ----------
    plan : CutSheet
    title : str
        Of the job.
    """
    found = patterns(plan)
    if not found:
        return []
    longest = max(board.length for board in plan.boards)
    bodies: list[list[Primitive]] = [list(_summary(plan))]
    y = BODY.top - HEADING_LETTERS - _LINE * (len(_sentences(plan)) + 2)
    for pattern in found:
        marks = _marks(pattern)
        tall = _LINE + _BAR + 1.5 + _LINE * len(marks) + 4.0
        if y - tall < BODY.bottom:
            bodies.append([])
            y = BODY.top
        bodies[-1] += _drawn(pattern, marks, y, longest)
        y -= tall
    count = len(bodies)
    return [
        page(title, "Cut diagrams", f"{n} of {count}" if count > 1 else "", body)
        for n, body in enumerate(bodies, start=1)
    ]


def _sentences(plan: CutSheet) -> list[str]:
    """What the plan takes, how good it is, and what other choices there are."""
    bought = "; ".join(
        f"{count} {'board' if count == 1 else 'boards'} {section} of {figure(length)}"
        for (section, length), count in plan.bought.items()
    )
    lines = [f"Buy {bought}. {plan.proof}"]
    if plan.by_hand is not None:
        saved = plan.by_hand - len(plan.boards)
        lines.append(
            f"Running each offcut into the next course takes {plan.by_hand} boards: {saved} more."
            if saved > 0
            else f"Running each offcut into the next course takes {plan.by_hand} boards too."
        )
    for choice in plan.choices:
        cost = "" if choice.cost is None else f", {choice.cost:.2f}"
        words = "chosen" if choice.chosen else "or"
        lines.append(f"{words}: {choice.boards} boards with {choice.joints} joints{cost}")
    return [part for line in lines for part in wrap(line, BODY.width, SMALLEST_LETTERS)]


def _summary(plan: CutSheet) -> Iterator[Primitive]:
    y = BODY.top - HEADING_LETTERS
    yield Text(at=(BODY.left, y), text="What is sawn from each board", height=HEADING_LETTERS, bold=True)
    for n, line in enumerate(_sentences(plan), start=1):
        yield Text(at=(BODY.left, y - 1.0 - n * _LINE), text=line)


def _marks(pattern: Pattern) -> list[str]:
    """The pieces' marks, board by board."""
    return [
        line
        for board in pattern.boards
        for line in wrap(
            f"board {board.number}: " + ", ".join(piece.mark for piece in board.pieces),
            BODY.width,
            SMALLEST_LETTERS,
        )
    ]


def _drawn(pattern: Pattern, marks: Sequence[str], top: float, longest: float) -> Iterator[Primitive]:
    board = pattern.boards[0]
    times = len(pattern.boards)
    base = top - SMALLEST_LETTERS
    name = f"{times} x {figure(board.length)}, {board.section}"
    yield Text(at=(BODY.left, base), text=name, bold=True)
    left_over = f"left over {figure(board.leftover)}"
    yield Text(at=(BODY.right, base), text=left_over, across=Across.RIGHT)
    low = base - 1.5 - _BAR
    yield from _bar(board, low, BODY.width / longest)
    for n, line in enumerate(marks, start=1):
        yield Text(at=(BODY.left, low - 0.6 - n * _LINE), text=line)


def _bar(board: StockBoard, low: float, scale: float) -> Iterator[Primitive]:
    """Trim, pieces with cuts between, leftover, trim: every millimetre of the board bought."""
    x = BODY.left
    yield _block(x, board.trim, low, scale, INK)
    x += board.trim * scale
    kerfs = _kerfs(board)
    for piece, kerf in zip(board.pieces, kerfs, strict=True):
        yield _block(x, piece.length, low, scale, BOARD_FACE)
        wide = piece.length * scale
        text = figure(piece.length)
        if text_width(text, SMALLEST_LETTERS) + _ROOM_IN_BAR <= wide:
            yield Text(
                at=(x + wide / 2, low + (_BAR - SMALLEST_LETTERS) / 2), text=text, across=Across.MIDDLE
            )
        x += wide
        yield _block(x, kerf, low, scale, INK)
        x += kerf * scale
    if board.leftover > 0:
        block = _block(x, board.leftover, low, scale, _WASTE)
        yield block
        yield Hatch(outline=block.outline, angle=math.radians(45), spacing=1.6)
        x += board.leftover * scale
    yield _block(x, board.trim, low, scale, INK)


def _kerfs(board: StockBoard) -> list[float]:
    """Width lost after each piece; the last cut has what is left of the sum. [mm]"""
    if not board.pieces:
        return []
    between = [board.kerf] * (len(board.pieces) - 1)
    return [*between, max(0.0, board.lost - sum(between))]


def _block(x: float, length: float, low: float, scale: float, colour: str) -> Fill:
    right = x + length * scale
    return Fill(
        layer=Layer.SEEN,
        outline=((x, low), (right, low), (right, low + _BAR), (x, low + _BAR)),
        colour=colour,
    )

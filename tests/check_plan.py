"""An independent second look at a layout's joints and cuts: knows nothing of how they were found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from cladmodel.settingout.cutting.inputs import Job, Saw, Stock
from cladmodel.settingout.cutting.plans import Board, Joints


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Something that a plan does wrong.

    Attributes
    ----------
    rule : str
        ``bearing``, ``least_piece``, ``stagger``, ``column_rest``, ``joint``, ``coverage``, ``stock``,
        ``limit`` or ``sum``.
    where : str
        Wall and course, or board.
    text : str
        What was found against what is asked.
    """

    rule: str
    where: str
    text: str


def check_joints(job: Job, joints: Joints) -> list[Fault]:
    """Faults of joint lines against the rules.

    Parameters
    ----------
    job : Job
    joints : dict
        Joint lines of every run that has any: (wall, course, place) -> lines. [mm]

    Returns
    -------
    list of Fault
        Empty when all rules are kept.
    """
    faults: list[Fault] = []
    known = set()
    for wall in job.walls:
        at: list[tuple[int, int]] = []  # course, x
        for course in wall.courses:
            where = f"{wall.name}, course {course.number}"
            here: set[int] = set()
            for place, run in enumerate(course.segments):
                key = (wall.name, course.number, place)
                known.add(key)
                lines = joints.get(key, ())
                if list(lines) != sorted(set(lines)):
                    faults.append(Fault(rule="joint", where=where, text=f"joints do not rise: {lines}"))
                for x in lines:
                    if x not in run.columns:
                        text = f"joint at {x} has no batten with bearing"
                        faults.append(Fault(rule="bearing", where=where, text=text))
                here |= set(lines)
            at += [(course.number, x) for x in sorted(here)]
        faults += _between_courses(job, wall.name, at)
    for key in joints.keys() - known:
        faults.append(Fault(rule="joint", where=f"{key[0]}, course {key[1]}", text="no such run"))
    return faults


def _between_courses(job: Job, wall: str, at: list[tuple[int, int]]) -> Iterator[Fault]:
    for course, x in at:
        for other, y in at:
            up, apart = other - course, abs(x - y)
            if up <= 0:
                continue
            where = f"{wall}, courses {course} and {other}"
            if up == 1 and apart < job.rules.stagger:
                text = f"joints at {x} and {y} stand {apart} apart, at least {job.rules.stagger} asked"
                yield Fault(rule="stagger", where=where, text=text)
            if up < job.rules.column_rest and apart < job.rules.same_column:
                text = f"column {x} is used again within {job.rules.column_rest} courses"
                yield Fault(rule="column_rest", where=where, text=text)


def check_boards(job: Job, joints: Joints, boards: tuple[Board, ...]) -> list[Fault]:
    """Faults of a cut plan: pieces missing, too many, wrong, short, or more than a board holds.

    Parameters
    ----------
    job : Job
    joints : dict
    boards : tuple of Board

    Returns
    -------
    list of Fault
    """
    faults: list[Fault] = []
    gap = job.rules.joint_gap
    got = Counter((p.wall, p.course, p.place, p.left, p.right, p.length) for b in boards for p in b.pieces)
    wanted: Counter[tuple[str, int, int, int, int, int]] = Counter()
    for wall in job.walls:
        for course in wall.courses:
            for place, run in enumerate(course.segments):
                lines = joints.get((wall.name, course.number, place), ())
                where = f"{wall.name}, course {course.number}"
                ends = [run.left, *lines, run.right]
                total = 0
                for k in range(len(ends) - 1):
                    left, right = ends[k], ends[k + 1]
                    length = right - left
                    if k > 0:
                        length -= gap - gap // 2
                    if k < len(ends) - 2:
                        length -= gap // 2
                    wanted[(wall.name, course.number, place, left, right, length)] += 1
                    total += length
                    short = length - (run.rake_left if k == 0 else 0)
                    short -= run.rake_right if k == len(ends) - 2 else 0
                    if lines and short < job.rules.least_piece:
                        text = f"piece {left}-{right} is {short}, at least {job.rules.least_piece} asked"
                        faults.append(Fault(rule="least_piece", where=where, text=text))
                if total + gap * len(lines) != run.right - run.left:
                    text = f"pieces and gaps make {total + gap * len(lines)}, run {run.right - run.left}"
                    faults.append(Fault(rule="coverage", where=where, text=text))
    for key in sorted((wanted - got) + (got - wanted)):
        text = f"piece {key[3]}-{key[4]} of {key[5]}: {got[key]} cut, {wanted[key]} wanted"
        faults.append(Fault(rule="coverage", where=f"{key[0]}, course {key[1]}", text=text))
    return faults + check_stock(boards, job.stocks, job.saw)


def check_stock(boards: tuple[Board, ...], stocks: tuple[Stock, ...], saw: Saw) -> list[Fault]:
    """Faults of boards against the stock: unknown lengths, limits, and sums that are not exact.

    Parameters
    ----------
    boards : tuple of Board
    stocks : tuple of Stock
    saw : Saw

    Returns
    -------
    list of Fault
    """
    faults = []
    for number, board in enumerate(boards, start=1):
        where = f"board {number}"
        if board.stock not in stocks:
            faults.append(Fault(rule="stock", where=where, text=f"no stock of {board.stock.length}"))
        # Saw it: trim, then piece after piece, each parted from the rest by a kerf.
        at, end = saw.trim, board.stock.length - saw.trim
        kerfs = 0
        for piece in board.pieces:
            at += piece.length
            if at > end:
                break
            cut = min(saw.kerf, end - at)
            kerfs += cut
            at += cut
        if at > end or not board.pieces:
            faults.append(Fault(rule="stock", where=where, text=f"pieces reach {at}, board ends at {end}"))
            continue
        left = end - at
        made = 2 * saw.trim + sum(p.length for p in board.pieces) + board.kerfs(saw) + board.leftover(saw)
        if made != board.stock.length or kerfs != board.kerfs(saw) or left != board.leftover(saw):
            text = f"trims, pieces, kerfs and leftover make {made}, board {board.stock.length}"
            faults.append(Fault(rule="sum", where=where, text=text))
    bought = Counter(board.stock for board in boards)
    for stock, count in bought.items():
        if stock.limit is not None and count > stock.limit:
            text = f"{count} bought, {stock.limit} to be had"
            faults.append(Fault(rule="limit", where=f"stock {stock.length}", text=text))
    return faults


def check_plan(job: Job, joints: Joints, boards: tuple[Board, ...]) -> list[Fault]:
    """All faults of a layout: joints, pieces, boards; empty when it is sound."""
    return check_joints(job, joints) + check_boards(job, joints, boards)

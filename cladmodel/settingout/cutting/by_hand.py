"""What a carpenter does without a plan: run the offcut into the next course, then on with full boards."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.inputs import Job, Run, Stock, cut_length, is_piece
from cladmodel.settingout.cutting.network import clashes, pieces_of
from cladmodel.settingout.cutting.plans import Board, Choice, CutPlan, Joints, Piece

# An offcut shorter than this goes on the heap, not on the pile. [mm] common practice, no source
USEFUL = 600


@dataclass(slots=True)
class _Opened:
    """A board on the trestles: its stock, the usable length left, and what was cut from it."""

    stock: Stock
    rest: int
    lengths: list[int] = field(default_factory=list)
    keys: list[tuple[tuple[str, int, int], int]] = field(default_factory=list)


@dataclass(slots=True)
class _Bench:
    """Boards opened so far and the pile of useful offcuts, oldest first."""

    job: Job
    boards: list[_Opened] = field(default_factory=list)
    pile: list[int] = field(default_factory=list)
    left: dict[int, int | None] = field(default_factory=dict)

    def longest(self) -> Stock | None:
        """The longest stock still to be had."""
        stocks = [s for s in self.job.stocks if self.left[s.length] is None or self.left[s.length]]
        return max(stocks, key=lambda s: s.length) if stocks else None

    def reach(self) -> int:
        """Longest piece that a new board or the pile yields. [mm]"""
        stock = self.longest()
        new = 0 if stock is None else self.job.saw.usable(stock)
        return max([new, *(self.boards[b].rest for b in self.pile)])

    def open_board(self, length: int) -> int:
        """Index of a new board of the longest stock still to be had, for a piece of a length. [mm]

        Raises
        ------
        SettingOutError
            If the limits leave none that is long enough.
        """
        stock = self.longest()
        if stock is None or self.job.saw.usable(stock) < length:
            raise SettingOutError("stock: cutting by hand, the limits leave too few boards")
        limit = self.left[stock.length]
        if limit is not None:
            self.left[stock.length] = limit - 1
        self.boards.append(_Opened(stock=stock, rest=self.job.saw.usable(stock)))
        return len(self.boards) - 1

    def cut(self, board: int | None, length: int, key: tuple[str, int, int], order: int) -> None:
        """Saw one piece; what is left goes on the pile if it is useful."""
        at = self.open_board(length) if board is None else board
        opened = self.boards[at]
        opened.lengths.append(length)
        opened.keys.append((key, order))
        opened.rest -= length + self.job.saw.kerf
        if at in self.pile:
            self.pile.remove(at)
        if opened.rest >= USEFUL:
            self.pile.append(at)


def by_hand(job: Job) -> tuple[Choice, tuple[str, ...]]:
    """Joint and cut a job as it would be done on the scaffold.

    Wall by wall, course by course, from the left: a run that one board reaches along is cut from the offcut
    that it uses up best, else from a new board; a longer run begins with the newest offcut that reaches an
    allowed batten and goes on with full boards, each to the furthest batten that it reaches.

    Parameters
    ----------
    job : Job
        Every run can be jointed.

    Returns
    -------
    choice : Choice
    broken : tuple of str
        Rules that could not be kept this way.

    Raises
    ------
    SettingOutError
        If the stock limits leave too few boards.
    """
    bench = _Bench(job, left={stock.length: stock.limit for stock in job.stocks})
    joints: Joints = {}
    laid: defaultdict[tuple[str, int], list[int]] = defaultdict(list)
    broken = []
    for run in job.runs():
        segment, gap = run.segment, job.rules.joint_gap
        length = cut_length(segment, segment.left, segment.right, gap)
        if length <= bench.reach():
            fits = [b for b in bench.pile if bench.boards[b].rest >= length]
            best = min(fits, key=lambda b: (bench.boards[b].rest, b)) if fits else None
            bench.cut(best, length, run.key, 0)
            continue
        way = None
        for rest in dict.fromkeys((max(job.rules.column_rest, 2), 2, 1)):
            way = _way(run, bench, _free(run, laid, job, rest))
            if way is not None:
                break
            broken.append(
                f"{run.wall.name}, course {run.course}: "
                + ("rest of columns not kept" if rest > 2 else "stagger not kept")
            )
        if way is None:
            where = f"{run.wall.name}, course {run.course}"
            raise SettingOutError(f"{where}: cutting by hand, no joints are found with what stock is left")
        start = segment.left
        for order, (board, end) in enumerate(way):
            bench.cut(board, cut_length(segment, start, end, gap), run.key, order)
            start = end
        joints[run.key] = tuple(end for _, end in way[:-1])
        laid[run.wall.name, run.course] += joints[run.key]
    return _choice(job, joints, bench), tuple(broken)


def _free(run: Run, laid: dict[tuple[str, int], list[int]], job: Job, rest: int) -> list[int]:
    """Columns that the courses below leave free, when only so many courses are looked at."""
    return [
        x
        for x in run.segment.columns
        if not any(
            clashes(run.course, x, run.course - down, y, job.rules)
            for down in range(1, rest)
            for y in laid.get((run.wall.name, run.course - down), ())
        )
    ]


def _way(run: Run, bench: _Bench, columns: Sequence[int]) -> list[tuple[int | None, int]] | None:
    """Boards and their ends along a run: first by a board from the pile, newest first, then a new one."""
    segment, job = run.segment, bench.job
    gap, longest = job.rules.joint_gap, bench.reach()

    def onward(start: int) -> list[tuple[int | None, int]] | None:
        if start != segment.left and is_piece(segment, start, segment.right, job.rules, longest):
            length = cut_length(segment, start, segment.right, gap)
            fits = [b for b in bench.pile if b not in used and bench.boards[b].rest >= length]
            best = min(fits, key=lambda b: (bench.boards[b].rest, b)) if fits else None
            return [(best, segment.right)]
        for x in reversed(columns):
            if x > start and is_piece(segment, start, x, job.rules, longest):
                after = onward(x)
                if after is not None:
                    return [(None, x), *after]
        return None

    used: list[int] = []
    for board in reversed(bench.pile):
        used = [board]
        for x in reversed(columns):
            reach = cut_length(segment, segment.left, x, gap)
            if reach <= bench.boards[board].rest and is_piece(segment, segment.left, x, job.rules, longest):
                after = onward(x)
                if after is not None:
                    return [(board, x), *after]
                break
    used = []
    return onward(segment.left)


def _choice(job: Job, joints: Joints, bench: _Bench) -> Choice:
    pieces: dict[tuple[tuple[str, int, int], int], Piece] = {
        ((p.wall, p.course, p.place), p.order): p for p in pieces_of(job, joints)
    }
    boards = tuple(
        Board(stock=_swapped(job, opened, bench.left), pieces=tuple(pieces[key] for key in opened.keys))
        for opened in bench.boards
    )
    price = sum(board.stock.price for board in boards)
    return Choice(
        joints=joints,
        plan=CutPlan(boards=boards, saw=job.saw, price=price, bound=0),
        joint_count=sum(len(lines) for lines in joints.values()),
        boards=len(boards),
        cost=price + joint_cost(job, joints),
    )


def joint_cost(job: Job, joints: Joints) -> int:
    """Joints at their walls' prices. [coin]

    Parameters
    ----------
    job : Job
    joints : dict
    """
    prices = job.joint_prices
    return sum(prices[wall] * len(lines) for (wall, _, _), lines in joints.items())


def _swapped(job: Job, opened: _Opened, left: dict[int, int | None]) -> Stock:
    """The cheapest stock that the board's pieces could have come from, while limits last."""
    needs = sum(opened.lengths) + job.saw.kerf * (len(opened.lengths) - 1)
    ways = [
        stock
        for stock in job.stocks
        if job.saw.usable(stock) >= needs and (stock == opened.stock or left[stock.length] != 0)
    ]
    found = min(ways, key=lambda stock: (stock.price, stock.length))
    for changed, step in ((found, -1), (opened.stock, 1)):
        limit = left[changed.length]
        if limit is not None and found != opened.stock:
            left[changed.length] = limit + step
    return found

"""What the choice of joints and cuts is made from: walls, courses, runs, rules, stock and saw; whole mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cladmodel.errors import SettingOutError


def _need(held: bool, text: str) -> None:
    if not held:
        raise SettingOutError(text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """One length of board that can be bought.

    Attributes
    ----------
    length : int
        As bought. [mm]
    price : int
        Of one board, in the smallest coin; 1 when boards are merely counted.
    limit : int or None
        Most boards to be had; None when there are enough.
    """

    length: int
    price: int = 1
    limit: int | None = None

    def __post_init__(self) -> None:
        _need(self.length > 0, f"stock length {self.length}: must be above 0")
        _need(self.price > 0, f"stock {self.length}: price {self.price} must be above 0")
        _need(self.limit is None or self.limit >= 0, f"stock {self.length}: limit {self.limit} is below 0")


@dataclass(frozen=True, slots=True, kw_only=True)
class Saw:
    """What sawing loses.

    Attributes
    ----------
    kerf : int
        Width of a cut. [mm] 3: common practice, no source
    trim : int
        Lost at each end of a board to square it, its cut included. [mm] 15: common practice, no source
    """

    kerf: int = 3
    trim: int = 15

    def __post_init__(self) -> None:
        _need(self.kerf >= 0 and self.trim >= 0, f"kerf {self.kerf}, trim {self.trim}: must not be below 0")

    def usable(self, stock: Stock) -> int:
        """Length left between the two squared ends. [mm]"""
        return stock.length - 2 * self.trim


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What butt joints must keep to. All defaults: common practice, no source.

    Attributes
    ----------
    least_piece : int
        Shortest piece at a joint, measured on its shorter edge. [mm]
    stagger : int
        Least distance to a joint in the course above or below. [mm]
    column_rest : int
        A column carries at most one joint in so many courses.
    same_column : int
        Joints nearer than this look like one column. [mm]
    joint_gap : int
        Left open between two board ends. [mm]
    """

    least_piece: int = 600
    stagger: int = 600
    column_rest: int = 3
    same_column: int = 60
    joint_gap: int = 0

    def __post_init__(self) -> None:
        _need(self.least_piece > 0, f"rules.least_piece {self.least_piece}: must be above 0")
        _need(self.stagger >= 0, f"rules.stagger {self.stagger}: must not be below 0")
        _need(self.column_rest >= 1, f"rules.column_rest {self.column_rest}: must be 1 or more")
        _need(
            1 <= self.same_column <= self.least_piece,
            f"rules.same_column {self.same_column}: must be 1 to {self.least_piece} (rules.least_piece)",
        )
        _need(self.joint_gap >= 0, f"rules.joint_gap {self.joint_gap}: must not be below 0")


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    r"""One uninterrupted run of boards: from post to trim, say, in one course.

        <--------- long edge: what is cut --------->
        left                                   right
         ___________________________________________
          \                                        |
           \_______________________________________|
         <-> rake_left

    Attributes
    ----------
    left, right : int
        Ends of the long edge, fitting gaps already taken off. [mm]
    columns : tuple of int
        Where a joint has bearing, rising; those outside the run are passed over. [mm]
    rake_left, rake_right : int
        How much shorter the other edge is at that end. [mm]
    """

    left: int
    right: int
    columns: tuple[int, ...] = ()
    rake_left: int = 0
    rake_right: int = 0

    def __post_init__(self) -> None:
        _need(
            self.right > self.left, f"run {self.left}-{self.right}: its right end must lie right of its left"
        )
        _need(
            self.rake_left >= 0 and self.rake_right >= 0, f"run {self.left}-{self.right}: a rake is below 0"
        )
        inside = tuple(sorted({x for x in self.columns if self.left < x < self.right}))
        object.__setattr__(self, "columns", inside)

    @property
    def length(self) -> int:
        """From end to end. [mm]"""
        return self.right - self.left


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One course: its number from the foot, and its runs from left to right.

    Attributes
    ----------
    number : int
    segments : tuple of Segment
    """

    number: int
    segments: tuple[Segment, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """One wall.

    Attributes
    ----------
    name : str
    courses : tuple of Course
        Rising numbers.
    joint_price : int or None
        What a joint in this wall is worth avoiding, in the coin of the stock prices (in boards when every
        price is 1). None: as few joints as the rules allow. 0: boards come first, joints after them.
    """

    name: str
    courses: tuple[Course, ...]
    joint_price: int | None = None

    def __post_init__(self) -> None:
        numbers = [course.number for course in self.courses]
        _need(numbers == sorted(set(numbers)), f"{self.name}: course numbers must rise")
        _need(self.joint_price is None or self.joint_price >= 0, f"{self.name}: joint_price is below 0")
        for course in self.courses:
            for a, b in zip(course.segments, course.segments[1:], strict=False):
                _need(a.right <= b.left, f"{self.name}, course {course.number}: runs overlap at {b.left}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Everything that is cut together, in one order.

    Attributes
    ----------
    walls : tuple of Wall
    rules : Rules
    stocks : tuple of Stock
    saw : Saw
    """

    walls: tuple[Wall, ...]
    rules: Rules = Rules()
    stocks: tuple[Stock, ...] = (Stock(length=4800),)
    saw: Saw = Saw()

    def __post_init__(self) -> None:
        names = [wall.name for wall in self.walls]
        _need(len(set(names)) == len(names), "two walls have the same name")
        _need(bool(self.stocks), "no stock length is given; add one")
        lengths = [stock.length for stock in self.stocks]
        _need(len(set(lengths)) == len(lengths), "a stock length is given twice; give each once")
        _need(self.longest > 0, "no stock is longer than its two end trims")

    @property
    def longest(self) -> int:
        """Longest piece that any board yields. [mm]"""
        return max(self.saw.usable(stock) for stock in self.stocks)

    @property
    def joint_prices(self) -> dict[str, int]:
        """What a joint costs in each wall; 0 where none is given. [coin]"""
        return {wall.name: wall.joint_price or 0 for wall in self.walls}

    def runs(self) -> Iterator[Run]:
        """Every run: wall by wall, course by course, from left to right."""
        for wall in self.walls:
            for course in wall.courses:
                for place, segment in enumerate(course.segments):
                    yield Run(wall=wall, course=course.number, place=place, segment=segment)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A segment and where it is: ``place`` counts from 0 at the left of its course.

    Attributes
    ----------
    wall : Wall
    course : int
    place : int
    segment : Segment
    """

    wall: Wall
    course: int
    place: int
    segment: Segment

    @property
    def key(self) -> tuple[str, int, int]:
        """Wall name, course number and place."""
        return (self.wall.name, self.course, self.place)


def cut_length(segment: Segment, start: int, end: int, gap: int) -> int:
    """Length to cut for the piece between two joint lines or ends of a run.

    Parameters
    ----------
    segment : Segment
    start, end : int
        Ends of the run or joint lines in it. [mm]
    gap : int
        Of a joint; an odd millimetre is given up by the piece on its right. [mm]

    Returns
    -------
    int
        Along the long edge. [mm]
    """
    at_left, at_right = start != segment.left, end != segment.right
    return end - start - (gap - gap // 2 if at_left else 0) - (gap // 2 if at_right else 0)


def is_piece(segment: Segment, start: int, end: int, rules: Rules, longest: int) -> bool:
    """True if one board can be that piece: not too long, and at a joint not too short.

    Parameters
    ----------
    segment : Segment
    start, end : int
        Ends of the run or joint lines in it. [mm]
    rules : Rules
    longest : int
        Longest piece that any board yields. [mm]
    """
    length = cut_length(segment, start, end, rules.joint_gap)
    if not 0 < length <= longest:
        return False
    if start == segment.left and end == segment.right:
        return True
    rakes = (segment.rake_left if start == segment.left else 0) + (
        segment.rake_right if end == segment.right else 0
    )
    return length - rakes >= rules.least_piece

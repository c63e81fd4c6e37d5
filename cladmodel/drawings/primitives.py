"""What a drawing is made of: a few primitives in paper millimetres.

Paper axes: origin at the sheet's bottom left corner, x to the right, y up. Letters are measured by
the height of their capitals. Writers draw; they decide nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

Point = tuple[float, float]

INK = "#1d1d1b"
"""Colour of what is cut, framed or lettered: black enough for any printer."""

POINT = 72 / 25.4
"""Printer's points in a millimetre."""

SMALLEST_LETTERS = 2.5
"""Least capital height that reads on an A3 print. [mm] ISO 3098's smallest usual size (from memory)."""


def plain(text: str) -> str:
    r"""One line of letters: whatever does not print (line ends, tabs, marks of direction) becomes a blank.

    Parameters
    ----------
    text : str

    Examples
    --------
    >>> plain("seed\tstore")
    'seed store'
    """
    return text if text.isprintable() else "".join(c if c.isprintable() else " " for c in text)


class Layer(StrEnum):
    """What a line is for; each has one pen."""

    FRAME = "frame"
    GROUND = "ground"
    CUT = "cut"
    SEEN = "seen"
    HIDDEN = "hidden"
    HATCH = "hatch"
    FIXING = "fixing"
    AIR = "air"
    DIMENSION = "dimension"
    LABEL = "label"
    TEXT = "text"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a layer is drawn.

    Attributes
    ----------
    width : float
        [mm on paper]
    colour : str
        ``#rrggbb``; dark enough to print black.
    dash : tuple of float
        Drawn and left out lengths in turn; empty for an unbroken line. [mm on paper]
    """

    width: float
    colour: str
    dash: tuple[float, ...] = ()


# Widths from ISO 128's series 0.13, 0.18, 0.25, 0.35, 0.5, 0.7 (from memory).
PENS = {
    Layer.FRAME: Pen(width=0.5, colour=INK),
    Layer.GROUND: Pen(width=0.7, colour=INK),
    Layer.CUT: Pen(width=0.35, colour=INK),
    Layer.SEEN: Pen(width=0.18, colour="#3a3732"),
    Layer.HIDDEN: Pen(width=0.18, colour="#5a564e", dash=(2.0, 1.0)),
    Layer.HATCH: Pen(width=0.13, colour="#7a6a4e"),
    Layer.FIXING: Pen(width=0.5, colour=INK),
    Layer.AIR: Pen(width=0.5, colour="#1b5e8c"),
    Layer.DIMENSION: Pen(width=0.18, colour="#16324f"),
    Layer.LABEL: Pen(width=0.18, colour=INK),
    Layer.TEXT: Pen(width=0.18, colour=INK),
    Layer.NOTE: Pen(width=0.18, colour="#8c1d18"),
}


class Across(StrEnum):
    """Which end of a text its anchor is."""

    LEFT = "left"
    MIDDLE = "middle"
    RIGHT = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight line."""

    layer: Layer
    start: Point
    end: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Polyline:
    """Several straight lines, end to end; with an arrow head at the last point if wanted."""

    layer: Layer
    points: tuple[Point, ...]
    arrow: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A filled polygon with holes.

    Attributes
    ----------
    layer : Layer
        Gives the pen of the outline.
    outline : tuple of Point
        Not repeated at the end.
    holes : tuple of tuple of Point
    colour : str
        ``#rrggbb``.
    outlined : bool
        False leaves the outline undrawn.
    """

    layer: Layer
    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()
    colour: str
    outlined: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Hatch:
    """Parallel lines inside a polygon.

    Attributes
    ----------
    outline : tuple of Point
    holes : tuple of tuple of Point
    angle : float
        Of the lines, from the paper's x. [rad]
    spacing : float
        [mm on paper]
    crossed : bool
        A second family square to the first.
    """

    layer: Layer = Layer.HATCH
    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()
    angle: float
    spacing: float
    crossed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of lettering.

    Attributes
    ----------
    at : Point
        Anchor, on the base line.
    text : str
    height : float
        Of the capitals. [mm on paper]
    across : Across
        Which end of the text stands at the anchor.
    angle : float
        Of the base line. [rad]
    bold : bool
    plate : bool
        A white plate behind the letters, for text over hatching.
    """

    layer: Layer = Layer.TEXT
    at: Point
    text: str
    height: float = SMALLEST_LETTERS
    across: Across = Across.LEFT
    angle: float = 0.0
    bold: bool = False
    plate: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "text", plain(self.text))


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A measured distance with its extension lines, ticks and figure.

    Attributes
    ----------
    what : str
        What is measured, in the trade's words; not drawn.
    value : float
        As measured on the solids, at full size. [mm]
    scale : float
        Full size over paper size. [-]
    start, end : Point
        The two points measured between, on paper.
    angle : float
        Direction along which they are measured, from the paper's x. [rad]
    through : Point
        A point on the dimension line.
    text : str
        The figure and, if need be, a word.
    outside : int
        0 puts the text over the middle of the line if it fits there; 1 beyond the end, -1 before the start.
    spill : int
        Where a text goes that does not fit over the middle: 1 or -1, as for `outside`.
    plate : bool
        A white plate behind the figure.
    extended : bool
        False leaves out the extension lines, for a line that runs on the pieces themselves.
    """

    layer: Layer = Layer.DIMENSION
    what: str
    value: float
    scale: float
    start: Point
    end: Point
    angle: float
    through: Point
    text: str
    height: float = SMALLEST_LETTERS
    outside: int = 0
    spill: int = 1
    plate: bool = False
    extended: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Leader:
    """A line from a dot on a piece to words beside it.

    Attributes
    ----------
    points : tuple of Point
        From the dot to the text.
    lines : tuple of str
        First line bold.
    across : Across
        LEFT: the text runs to the right from the leader's end; RIGHT: to the left.
    """

    layer: Layer = Layer.LABEL
    points: tuple[Point, ...]
    lines: tuple[str, ...]
    height: float = SMALLEST_LETTERS
    across: Across = Across.LEFT


@dataclass(frozen=True, slots=True, kw_only=True)
class Angle:
    """A measured angle: an arc between two directions and its figure.

    Attributes
    ----------
    what : str
    value : float
        As measured on the solids. [rad]
    centre : Point
    radius : float
        [mm on paper]
    start, end : float
        Directions of the two sides, counter-clockwise from start to end. [rad]
    text : str
    text_at : Point
        Middle of the base line.
    """

    layer: Layer = Layer.DIMENSION
    what: str
    value: float
    centre: Point
    radius: float
    start: float
    end: float
    text: str
    text_at: Point
    height: float = SMALLEST_LETTERS
    plate: bool = False


Primitive = Line | Polyline | Fill | Hatch | Text | Dimension | Leader | Angle
Simple = Line | Polyline | Fill | Text
"""What every writer can draw; ``strokes.strokes`` turns the rest into these."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet of paper.

    Attributes
    ----------
    title : str
    width, height : float
        [mm]
    primitives : tuple of Primitive
        In drawing order: later ones cover earlier ones.
    """

    title: str
    width: float
    height: float
    primitives: tuple[Primitive, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "title", plain(self.title))

    @property
    def dimensions(self) -> list[Dimension]:
        """Every dimension on the sheet, in drawing order."""
        return [p for p in self.primitives if isinstance(p, Dimension)]


A3 = (420.0, 297.0)
"""Landscape. [mm] ISO 216."""

"""Small things that all views of a section need: targets for labels, words for pieces, fitting a view."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon

from cladmodel.drawings.layout import HEADING_LETTERS, PAD, Label, Room
from cladmodel.drawings.lettering import text_box
from cladmodel.drawings.primitives import Point, Primitive
from cladmodel.drawings.strokes import texts
from cladmodel.drawings.view import Placed, View, figure, largest_scale
from cladmodel.model import Kind, Part
from cladmodel.schedules.board_shape import board_shape
from cladmodel.schedules.cutlist import PENCIL
from cladmodel.schedules.profile import BoardCut, Cut, Profile

HEADING_ROOM = HEADING_LETTERS + PAD
"""Height a view's heading takes. [mm on paper]"""

NAMES = {
    Kind.STUD: "Stud",
    Kind.SOLE_PLATE: "Sole plate",
    Kind.SILL_PLATE: "Sill plate",
    Kind.HEAD_PLATE: "Head plate",
    Kind.LINTEL: "Lintel",
    Kind.SHEATHING: "Sheathing",
    Kind.MEMBRANE: "Membrane",
    Kind.BATTEN: "Batten",
    Kind.VENT_STRIP: "Vent strip",
    Kind.STARTER: "Starter",
    Kind.PACKER: "Packer",
    Kind.POST: "Post",
    Kind.SIDE_TRIM: "Side trim",
    Kind.HEAD_TRIM: "Head trim",
    Kind.FLASHING: "Flashing",
    Kind.SILL: "Sill",
    Kind.FILLET: "Cover fillet",
    Kind.BOARD: "Board",
}
"""What a piece is called on a drawing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """One view of the sheet.

    Attributes
    ----------
    letter : str
        By which the whole section points to it.
    view : View
    primitives : tuple
        All it draws.
    """

    letter: str
    view: View
    primitives: tuple[Primitive, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """Paper kept free round a view for dimensions and labels. [mm on paper]."""

    left: float
    bottom: float
    right: float
    top: float


def fitted(
    room: Room,
    margins: Margins,
    inner: float,
    low: float,
    outer: float,
    high: float,
    most: float = 1.0,
) -> View:
    """Place a window as large as its room allows, under the heading.

    Parameters
    ----------
    room : Room
    margins : Margins
    inner, low, outer, high : float
        The window in z and y. [mm full size]
    most : float
        Largest scale wanted. [-]
    """
    wide = room.width - margins.left - margins.right
    tall = room.height - margins.bottom - margins.top - HEADING_ROOM
    scale = largest_scale(outer - inner, high - low, wide, tall, most)
    x = room.left + margins.left + outer / scale
    y = room.top - HEADING_ROOM - margins.top - high / scale
    return View(scale=scale, at=(x, y), inner=inner, low=low, outer=outer, high=high)


def at_height(view: View, polygon: Polygon, y: float) -> Point | None:
    """Middle of a piece at a height, on paper; None if the piece or the window does not reach there."""
    level = LineString([(view.inner, y), (view.outer, y)])
    crossed = polygon.intersection(view.window).intersection(level)
    if crossed.is_empty or crossed.length == 0:
        return None
    low, _, high, _ = crossed.bounds
    return view.paper(((low + high) / 2, y))


def inside(view: Placed, polygon: Polygon) -> Point | None:
    """A point well inside what the window shows of a piece, on paper; None if it shows nothing."""
    shown = polygon.intersection(view.window)
    if shown.is_empty or shown.area == 0:
        return None
    point = shown.centroid if shown.contains(shown.centroid) else shown.representative_point()
    return view.paper((point.x, point.y))


def layer_labels(view: View, profile: Profile, kinds: Sequence[Kind], start: float = 0.05) -> Iterator[Label]:
    """Label the upright layers with their measured thickness.

    Parameters
    ----------
    view : View
    profile : Profile
    kinds : sequence of Kind
    start : float
        Share of the window's height above the first label; each has its own height so that leaders fan out.
    """
    tall = view.high - view.low
    pitch = tall / (len(kinds) + 9)
    y = view.high - start * tall
    for kind in kinds:
        for _, polygon in profile.of_kind(kind):
            target = at_height(view, polygon, y)
            if target is not None:
                low, _, high, _ = polygon.bounds
                yield Label(target=target, lines=(f"{NAMES[kind]} {figure(high - low)}",))
                y -= pitch
                break


def piece_labels(view: View, cuts: Sequence[Cut], kinds: Sequence[Kind]) -> Iterator[Label]:
    """Label the first piece of each kind that the window shows, with its measured size.

    Parameters
    ----------
    view : View
    cuts : sequence of (Part, Polygon)
    kinds : sequence of Kind
    """
    for kind in kinds:
        for part, polygon in cuts:
            target = inside(view, polygon) if part.kind is kind else None
            if target is not None:
                yield Label(target=target, lines=(f"{NAMES[kind]} {size(part, cuts)}",))
                break


def clear(candidates: Sequence[Primitive], drawn: Sequence[Primitive]) -> Primitive:
    """Choose the first candidate whose lettering touches none that is drawn already, or else the last.

    Parameters
    ----------
    candidates : sequence of Primitive
        The same thing in several places, the best first.
    drawn : sequence of Primitive
    """
    taken = [text_box(text) for text in texts(drawn)]
    for candidate in candidates:
        own = [text_box(text) for text in texts([candidate])]
        if not any(one.intersects(other) for one in own for other in taken):
            return candidate
    return candidates[-1]


_THICKNESS_ONLY = frozenset({Kind.BATTEN, Kind.STUD, Kind.LINTEL, Kind.SHEATHING, Kind.MEMBRANE})


def size(part: Part, cuts: Sequence[Cut]) -> str:
    """Write a piece's height and thickness as cut; only the thickness of what runs far out of the window.

    Parameters
    ----------
    part : Part
    cuts : sequence of (Part, Polygon)
        A perforated piece may be cut into several; they count together.
    """
    bounds = [polygon.bounds for other, polygon in cuts if other is part]
    thick = figure(max(b[2] for b in bounds) - min(b[0] for b in bounds))
    if part.kind in _THICKNESS_ONLY:
        return thick
    return f"{figure(max(b[3] for b in bounds) - min(b[1] for b in bounds))} x {thick}"


def how_cut(profile: Profile, board: BoardCut) -> str:
    """Whether a board is notched or rake-cut where it is cut, ripped or of full width, read off its solid."""
    part = next(part for part, _ in profile.cuts if part.mark == board.mark)
    shape = board_shape(part)
    if board.width < shape.width - PENCIL:
        along = profile.x - float(part.vertices[:, 0].min())
        notched = any(notch.left <= along <= notch.right for notch in shape.notches)
        return "notched here" if notched else "rake cut here"
    widest = max(other.width for other in profile.boards)
    return "ripped" if shape.width < widest - PENCIL else "full width"

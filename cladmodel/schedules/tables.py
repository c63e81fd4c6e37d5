"""Every schedule as a plain table: named columns with units, one row a line; for files and for sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cladmodel.model import Model
from cladmodel.schedules.building_rod import building_rod
from cladmodel.schedules.cutlist import CutPiece, Ends, cut_list, group_equal
from cladmodel.schedules.cutplan import CutSheet
from cladmodel.schedules.makeup import makeup
from cladmodel.schedules.order import order
from cladmodel.schedules.quantities import fixing_quantities, quantities
from cladmodel.schedules.rod import rod

Cell = str | int | float | None
"""None where there is nothing to say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column.

    Attributes
    ----------
    heading : str
    unit : str
        Empty for words and counts.
    places : int
        Decimals worth showing.
    """

    heading: str
    unit: str = ""
    places: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """A schedule.

    Attributes
    ----------
    name : str
        For files: short, lower case, no blanks.
    title : str
    columns : tuple of Column
    rows : tuple of tuple of Cell
        Each as long as `columns`.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


def listings(model: Model, plan: CutSheet | None = None) -> tuple[Listing, ...]:
    """Every schedule of a job.

    Parameters
    ----------
    model : Model
    plan : CutSheet, optional

    Returns
    -------
    tuple of Listing
        Rod, cut list, stop list, posts, quantities, fixings and order; with a plan, also the sawing.
    """
    found = [
        rod_listing(model),
        cut_listing(model),
        stop_listing(model),
        post_listing(model),
        quantity_listing(model),
        fixing_listing(model),
        order_listing(model, plan),
    ]
    return (*found, sawing_listing(plan)) if plan is not None else tuple(found)


def rod_listing(model: Model) -> Listing:
    """Every butt line: one rod round all walls, with each wall's own soffit to measure down from.

    Parameters
    ----------
    model : Model
    """
    lines = building_rod(model)
    below = {wall.name: {mark.course: mark.from_head for mark in rod(model, wall)} for wall in model.walls}
    return Listing(
        name="rod",
        title="Rod",
        columns=(
            Column(heading="course"),
            Column(heading="above 0", unit="mm"),
            Column(heading="gauge", unit="mm"),
            *(Column(heading=f"below highest soffit, {wall.name}", unit="mm") for wall in model.walls),
        ),
        rows=tuple(
            (
                line.course,
                line.height,
                line.gauge,
                *(below[wall.name].get(line.course) for wall in model.walls),
            )
            for line in reversed(lines)
        ),
    )


def cut_listing(model: Model) -> Listing:
    """Every board by wall and course.

    Parameters
    ----------
    model : Model
    """
    return Listing(
        name="cut-list",
        title="Cut list",
        columns=(
            Column(heading="wall"),
            Column(heading="course"),
            Column(heading="mark"),
            Column(heading="section"),
            Column(heading="length", unit="mm"),
            Column(heading="width", unit="mm"),
            Column(heading="how"),
        ),
        rows=tuple(
            (wall.name, p.course, p.mark, p.section, p.length, p.width, how_to_cut(p))
            for wall in model.walls
            for p in cut_list(model, wall)
        ),
    )


def how_to_cut(piece: CutPiece) -> str:
    """Say everything that is not a square cut, measured from the board's left end seen from outside.

    Parameters
    ----------
    piece : CutPiece
    """
    words = ["ripped"] if piece.ripped else []
    words += [
        f"notch in the {n.edge} {n.left:.0f} to {n.right:.0f}, {n.depth:.0f} deep" for n in piece.notches
    ]
    for cut in piece.end_cuts:
        kind = "rake" if cut.raked else "out of square"
        words.append(f"{cut.end} end {kind}, {cut.edge} {cut.shorter:.1f} shorter in {cut.rise:.0f}")
    return "; ".join(words)


def stop_listing(model: Model) -> Listing:
    """Equal boards of all walls together, the longest first: each group against one stop.

    Parameters
    ----------
    model : Model
    """
    pieces = [piece for wall in model.walls for piece in cut_list(model, wall)]
    return Listing(
        name="stops",
        title="Equal boards, cut against one stop",
        columns=(
            Column(heading="boards"),
            Column(heading="length", unit="mm"),
            Column(heading="width", unit="mm"),
            Column(heading="section"),
            Column(heading="how"),
            Column(heading="marks"),
        ),
        rows=tuple(
            (
                group.count,
                group.length,
                group.width,
                group.section,
                ", ".join(
                    [*(["notched"] if group.notched else []), *_unless_square(group.ends)],
                ),
                ", ".join(group.marks),
            )
            for group in group_equal(pieces)
        ),
    )


def _unless_square(ends: Ends) -> Sequence[str]:
    return [] if ends is Ends.SQUARE else [str(ends)]


def post_listing(model: Model) -> Listing:
    """Corner posts with their battens and screws.

    Parameters
    ----------
    model : Model
    """
    return Listing(
        name="posts",
        title="Corner posts: make-up",
        columns=(
            Column(heading="corner"),
            Column(heading="kind"),
            Column(heading="post"),
            Column(heading="post length", unit="mm"),
            Column(heading="relief", unit="mm"),
            Column(heading="batten"),
            Column(heading="batten length", unit="mm"),
            Column(heading="screws"),
            Column(heading="screws above batten's foot", unit="mm"),
        ),
        rows=tuple(
            (
                one.name,
                str(one.kind),
                one.mark,
                one.length,
                one.relief_height,
                batten.mark,
                batten.length,
                len(batten.screws),
                ", ".join(f"{place:.0f}" for place in batten.screws),
            )
            for one in makeup(model)
            for batten in one.battens
        ),
    )


def quantity_listing(model: Model) -> Listing:
    """Pieces by kind and section, as built.

    Parameters
    ----------
    model : Model
    """
    return Listing(
        name="quantities",
        title="Quantities, as built in",
        columns=(
            Column(heading="what"),
            Column(heading="section"),
            Column(heading="pieces"),
            Column(heading="length", unit="m", places=2),
            Column(heading="area", unit="m2", places=2),
        ),
        rows=tuple(
            (
                str(q.kind),
                q.section,
                q.count,
                None if q.total_length is None else q.total_length / 1e3,
                None if q.total_area is None else q.total_area / 1e6,
            )
            for q in quantities(model)
        ),
    )


def fixing_listing(model: Model) -> Listing:
    """Nails and screws by use.

    Parameters
    ----------
    model : Model
    """
    return Listing(
        name="fixings",
        title="Fixings, as built in",
        columns=(
            Column(heading="use"),
            Column(heading="fixing"),
            Column(heading="material"),
            Column(heading="number"),
        ),
        rows=tuple((str(f.use), f.fastener, f.material, f.count) for f in fixing_quantities(model)),
    )


def order_listing(model: Model, plan: CutSheet | None = None) -> Listing:
    """What to buy.

    Parameters
    ----------
    model : Model
    plan : CutSheet, optional
    """
    return Listing(
        name="order",
        title="Order",
        columns=(
            Column(heading="what"),
            Column(heading="size"),
            Column(heading="of length", unit="mm", places=0),
            Column(heading="built in"),
            Column(heading="spare", unit="%", places=0),
            Column(heading="buy"),
            Column(heading="in"),
            Column(heading="cost", places=2),
        ),
        rows=tuple(
            (
                line.what,
                line.section,
                line.length,
                line.needed,
                line.spare * 100,
                line.buy,
                line.unit,
                line.cost,
            )
            for line in order(model, plan)
        ),
    )


def sawing_listing(plan: CutSheet) -> Listing:
    """What is sawn from each board bought.

    Parameters
    ----------
    plan : CutSheet
    """
    return Listing(
        name="sawing",
        title="Sawing, board by board",
        columns=(
            Column(heading="board"),
            Column(heading="section"),
            Column(heading="stock", unit="mm", places=0),
            Column(heading="pieces in order"),
            Column(heading="lost in cuts and trims", unit="mm"),
            Column(heading="left over", unit="mm"),
        ),
        rows=tuple(
            (
                board.number,
                board.section,
                board.length,
                " + ".join(f"{piece.mark} {piece.length:.0f}" for piece in board.pieces),
                board.lost + 2 * board.trim,
                board.leftover,
            )
            for board in plan.boards
        ),
    )

"""The order list: what to buy, with an allowance for waste."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from cladmodel.model import Kind, Model
from cladmodel.schedules.cutlist import PENCIL
from cladmodel.schedules.cutplan import CutSheet
from cladmodel.schedules.quantities import Quantity, fixing_quantities, piece_length, quantities
from cladmodel.settingout.cutting.spares import spare_boards

# Share added to what is built in, by what it is; common practice, no source, unless said otherwise.
SPARE_LENGTHS = 0.10  # battens, frame, posts and trims, sawn from stock lengths as they come
SPARE_SHEETS = 0.10  # whole sheets cut round openings
SPARE_MEMBRANE = 0.20  # laps of about 100 and 150, turning into openings
SPARE_FIXINGS = 0.05  # dropped or bent

BOX = 50
"""Fixings are bought in multiples of this (common practice, no source)."""

TENTH = 0.1
"""Lengths are rounded up to this. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One line of the order.

    Attributes
    ----------
    what : str
    section : str
        Size as ordered.
    length : float or None
        Of each piece, where it is bought by the piece. [mm]
    needed : float
        As built in, in `unit`.
    spare : float
        Share added. [-]
    buy : float
        In `unit`.
    unit : str
        ``pieces``, ``m`` or ``m2``.
    cost : float or None
        Of all that is bought; None without a price.
    """

    what: str
    section: str
    length: float | None
    needed: float
    spare: float
    buy: float
    unit: str
    cost: float | None = None


def order(model: Model, plan: CutSheet | None = None) -> tuple[OrderLine, ...]:
    """List what to buy, in building-up order; boards by the cutting plan if there is one.

    Parameters
    ----------
    model : Model
    plan : CutSheet, optional
    """
    rows = quantities(model)
    lines = [*_posts(model)]
    lines += [_metres(str(q.kind), q.section, q.total_length) for q in rows if q.kind not in _OTHERWISE]
    packers = sum(q.total_length or 0.0 for q in rows if q.kind is Kind.PACKER)
    if packers:
        lines.append(_metres(str(Kind.PACKER), "ripped from offcuts, see quantities", packers))
    lines += _sheets(rows, Kind.SHEATHING, SPARE_SHEETS)
    lines += _sheets(rows, Kind.MEMBRANE, SPARE_MEMBRANE)
    lines += _boards(rows, plan)
    lines.sort(key=lambda line: _ORDER.index(line.what))
    return (*lines, *_fixings(model))


_OTHERWISE = frozenset({Kind.BOARD, Kind.POST, Kind.PACKER, Kind.SHEATHING, Kind.MEMBRANE})
"""Kinds that are not simply bought by the metre."""

_ORDER = [str(kind) for kind in Kind]


def _metres(what: str, section: str, length: float | None) -> OrderLine:
    metres = (length or 0.0) / 1000
    buy = math.ceil(round(metres * (1 + SPARE_LENGTHS) / TENTH, 6)) * TENTH
    return OrderLine(
        what=what, section=section, length=None, needed=metres, spare=SPARE_LENGTHS, buy=buy, unit="m"
    )


def _posts(model: Model) -> list[OrderLine]:
    """Posts by the piece: they are not joined."""
    counts = Counter((p.section, math.ceil(piece_length(p) - PENCIL)) for p in model.of_kind(Kind.POST))
    return [
        OrderLine(
            what=str(Kind.POST),
            section=section,
            length=float(length),
            needed=count,
            spare=0.0,
            buy=count,
            unit="pieces",
        )
        for (section, length), count in sorted(counts.items(), key=lambda item: (item[0][0], -item[0][1]))
    ]


def _sheets(rows: Iterable[Quantity], kind: Kind, spare: float) -> list[OrderLine]:
    """Sheets by area, one line for each thickness or roll."""
    areas: dict[str, float] = {}
    for row in rows:
        if row.kind is kind:
            size = f"{row.section.rsplit(' x ', 1)[-1]} thick" if kind is Kind.SHEATHING else row.section
            areas[size] = areas.get(size, 0.0) + (row.total_area or 0.0) / 1e6
    return [
        OrderLine(
            what=str(kind),
            section=size,
            length=None,
            needed=area,
            spare=spare,
            buy=math.ceil(area * (1 + spare)),
            unit="m2",
        )
        for size, area in areas.items()
    ]


def _boards(rows: Iterable[Quantity], plan: CutSheet | None) -> list[OrderLine]:
    if plan is None:
        return [
            _metres(str(row.kind), row.section, row.total_length) for row in rows if row.kind is Kind.BOARD
        ]
    lines = []
    for (section, length), count in plan.bought.items():
        buy = count + spare_boards(count, plan.rejected, plan.sure)
        price = plan.prices.get(length)
        lines.append(
            OrderLine(
                what=str(Kind.BOARD),
                section=section,
                length=length,
                needed=count,
                spare=buy / count - 1,
                buy=buy,
                unit="pieces",
                cost=None if price is None else buy * price,
            )
        )
    return lines


def _fixings(model: Model) -> list[OrderLine]:
    """Nails and screws by size, whatever they hold."""
    counts: dict[tuple[str, str], int] = {}
    for row in fixing_quantities(model):
        key = (row.fastener, row.material)
        counts[key] = counts.get(key, 0) + row.count
    return [
        OrderLine(
            what=name,
            section=material,
            length=None,
            needed=count,
            spare=SPARE_FIXINGS,
            buy=math.ceil(round(count * (1 + SPARE_FIXINGS) / BOX, 6)) * BOX,
            unit="pieces",
        )
        for (name, material), count in counts.items()
    ]

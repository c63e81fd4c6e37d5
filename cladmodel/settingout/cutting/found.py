"""What a search may change of a layout, and what it finds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from cladmodel.settingout.cutting.inputs import Job
from cladmodel.settingout.cutting.jointed import pattern_of
from cladmodel.settingout.cutting.knapsack import Use
from cladmodel.settingout.cutting.plans import Choice, Joints, RunKey


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Freedom:
    """How a job may be jointed.

    Attributes
    ----------
    more : dict
        For each wall, joints above its fewest that a run may have: one that needs joints, one that does not.
    caps : dict
        Most joints of a wall, where limited.
    prices : dict
        Price of a joint in each wall of ``more``. [coin]
    held : dict
        Joint lines of the runs that stay.
    free : set of (wall, course, place) or None
        Runs that may be jointed anew; None when all may.
    """

    more: Mapping[str, tuple[int, int]]
    caps: Mapping[str, int]
    prices: Mapping[str, int]
    held: Joints = field(default_factory=dict)
    free: frozenset[RunKey] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """A layout with its uses of patterns over ``lengths``. The aims are compared in order.

    Attributes
    ----------
    joints : dict
    lengths : tuple of int
        Items of the patterns, falling. [mm]
    uses : tuple of Use
    price : int
        Of the boards. [coin]
    aims : (int, int, int)
        Cost with priced joints [coin], joints, distinct lengths.
    """

    joints: Joints
    lengths: tuple[int, ...]
    uses: tuple[Use, ...]
    price: int
    aims: tuple[int, int, int]


def as_found(choice: Choice, job: Job) -> Found:
    """A choice as uses of patterns.

    Parameters
    ----------
    choice : Choice
    job : Job
    """
    lengths = tuple(sorted(choice.plan.lengths, reverse=True))
    index = {length: i for i, length in enumerate(lengths)}
    at = {stock.length: k for k, stock in enumerate(job.stocks)}
    uses = tuple(
        Use(at[board.stock.length], pattern_of([p.length for p in board.pieces], index), 1)
        for board in choice.plan.boards
    )
    aims = (choice.cost, choice.joint_count, len(lengths))
    return Found(joints=choice.joints, lengths=lengths, uses=uses, price=choice.plan.price, aims=aims)

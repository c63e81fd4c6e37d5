"""Cheapest layout within a given freedom of jointing: bound, incumbents, restricted program, tidying."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from cladmodel.settingout.cutting.anew import Held, jointed_anew, lots_apart, lots_together
from cladmodel.settingout.cutting.found import Found, Freedom
from cladmodel.settingout.cutting.inputs import Job
from cladmodel.settingout.cutting.jointed import (
    Priced,
    Program,
    cheaper_layout,
    cheapest_arcs,
    full_program,
    pattern_of,
    pooled_program,
    price_out,
    program_with,
)
from cladmodel.settingout.cutting.knapsack import Kind, Use, every_pattern
from cladmodel.settingout.cutting.network import Network, network, pieces_of
from cladmodel.settingout.cutting.plans import Joints
from cladmodel.settingout.cutting.programs import ROUNDING, Effort, Watch, rounded_up, whole
from cladmodel.settingout.cutting.relaxed import Sawing, trimmed
from cladmodel.settingout.cutting.stock import cut_counts, price_unit

# Lots one after another that gave nothing before the rest are let be: by trial.
IDLE = 9
# Lots in one go, so that a street of houses ends as well: a building of four walls has fewer.
MOST_LOTS = 60
# Above so many possible pieces no program over all runs at once is tried: it would not end. By trial.
MANY_ARCS = 6000
# Up to so many possible pieces, lots of neighbours are tidied as well. By trial.
FEW = 400
# Relative gap, in the lengths' worth, at which a layout as cheap as the bound is good enough. [-] by trial
REACH_GAP = 0.05


@dataclass(slots=True)
class Search:
    """One search: everything it has learnt so far.

    Attributes
    ----------
    job, kinds, freedom, effort, watch
        What is searched, and how long.
    net, full : Network, Program
        Every way to joint it within the freedom.
    unit : int
        Every cost is a multiple of this. [coin]
    bound : int
        No layout within the freedom costs less.
    best : Found or None
    relaxed : Priced or None
        The program with all rules at its very optimum, once it has been solved.
    sawings : dict
        Patterns known, in the order in which they were found.
    worth : (lengths,) float
        Marginal price of each length. [coin]
    """

    job: Job
    kinds: Sequence[Kind]
    freedom: Freedom
    effort: Effort
    watch: Watch
    net: Network = field(init=False)
    full: Program = field(init=False)
    unit: int = field(init=False)
    bound: int = 0
    best: Found | None = None
    relaxed: Priced | None = None
    sawings: dict[Sawing, None] = field(default_factory=dict)
    worth: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))

    def __post_init__(self) -> None:
        self.net = network(self.job, self.freedom.more, self.freedom.held, self.freedom.free)
        self.full = full_program(self.net, self.freedom.prices, self.freedom.caps)
        self.unit = math.gcd(price_unit(self.kinds), *(p for p in self.freedom.prices.values() if p))

    @property
    def far(self) -> list[frozenset[int]]:
        """Lots of courses that no rule binds to each other."""
        return lots_apart(self.net, max(self.job.rules.column_rest, 2))

    @property
    def near(self) -> list[frozenset[int]]:
        """Lots of every other course."""
        return lots_apart(self.net, 2)

    @property
    def met(self) -> bool:
        """True if the best layout is as cheap as the bound."""
        return self.best is not None and self.best.aims[0] <= self.bound

    def set_bound(self) -> None:
        """Bound and first patterns, from the program that pools runs that can be jointed alike."""
        pooled = pooled_program(self.net, self.freedom.prices, self.freedom.caps)
        priced = price_out(pooled, self.kinds, self.job.saw.kerf, (), self.unit, self.effort, self.watch)
        if priced is not None:
            self.bound = max(self.bound, rounded_up(priced.bound, self.unit))
            self.sawings |= priced.sawings
            self.worth = priced.worth

    def offer(self, joints: Joints) -> Found:
        """Cut a layout exactly; keep it if it is the best yet."""
        pieces = pieces_of(self.job, joints)
        wanted = Counter(piece.length for piece in pieces)
        lengths = tuple(sorted(wanted, reverse=True))
        at_joints = self._joint_cost(joints)
        beat = None if self.best is None else self.best.aims[0] - at_joints
        counted = cut_counts(
            [length + self.job.saw.kerf for length in lengths],
            [wanted[length] for length in lengths],
            self.kinds,
            self.effort,
            self.watch,
            beat,
        )
        return self._keep(joints, lengths, counted.uses, counted.price)

    def _joint_cost(self, joints: Joints) -> int:
        free = self.freedom.free
        return sum(
            self.freedom.prices.get(key[0], 0) * len(lines)
            for key, lines in joints.items()
            if free is None or key in free
        )

    def _keep(self, joints: Joints, lengths: tuple[int, ...], uses: Sequence[Use], price: int) -> Found:
        count = sum(len(lines) for lines in joints.values())
        aims = (price + self._joint_cost(joints), count, len(lengths))
        found = Found(joints=joints, lengths=lengths, uses=tuple(uses), price=price, aims=aims)
        if self.best is None or aims < self.best.aims:
            self.best = found
        self.learn(found)
        return found

    def learn(self, found: Found) -> None:
        """Take over a layout's patterns."""
        index = {length: i for i, length in enumerate(self.full.lengths)}
        for use in found.uses:
            if all(found.lengths[i] in index for i, _ in use.pattern):
                held = [found.lengths[i] for i, n in use.pattern for _ in range(n)]
                self.sawings[(use.kind, pattern_of(held, index))] = None

    def guided(self) -> Found | None:
        """Offer the layout whose pieces are cheapest by the marginal prices of their lengths."""
        if not self.net.arcs:
            return self.offer({})
        loose = any(any(more) for more in self.freedom.more.values())
        taken = cheapest_arcs(self.full, self.worth, self.effort, self.watch, presolve=loose)
        return None if taken is None else self.offer(self.net.joints(taken))

    def restrict(self) -> None:
        """Look for a cheaper layout that uses the patterns known, joints and patterns at once."""
        assert self.best is not None
        listed = list(self.sawings)
        low = self.bound - 0.5 * self.unit
        high = self.best.aims[0] - 0.5 * self.unit
        found = cheaper_layout(self.full, self.kinds, listed, low, high, self.effort, self.watch)
        if found.x is not None:
            self._take(found.x, listed)

    def reach_bound(self) -> None:
        """Look for a layout that costs no more than the bound, with the patterns known.

        The cost is a row here and the marginal prices of the lengths are the objective: several times
        quicker than asking for the least cost, but of no help when the bound cannot be met.
        """
        listed = list(self.sawings)
        price, rows = program_with(self.full, self.kinds, listed)
        rows.add([(j, float(c)) for j, c in enumerate(price) if c], -math.inf, self.bound + ROUNDING)
        arcs = len(self.net.arcs)
        cost = np.zeros(len(price))
        cost[:arcs] = self.worth[self.full.item]
        upper = np.concatenate([np.ones(arcs), np.full(len(listed), np.inf)])
        found = whole(cost, rows, upper, self.effort.nodes, self.watch, REACH_GAP)
        if found.x is not None:
            self._take(found.x, listed)

    def tighten(self, *, fully: bool) -> None:
        """Bound and patterns from the program with every run apart and all rules.

        Fully: until no pattern is missing, though the bound be settled before that.
        """
        unit = 0 if fully else self.unit
        priced = price_out(
            self.full, self.kinds, self.job.saw.kerf, self.sawings, unit, self.effort, self.watch
        )
        if priced is not None:
            self.bound = max(self.bound, rounded_up(priced.bound, self.unit))
            self.sawings = dict(priced.sawings)
            self.worth = priced.worth
            self.relaxed = priced if priced.ended else None

    def complete(self) -> None:
        """Look among all patterns that a cheaper layout could use; if none is found, the best is proven.

        A pattern whose reduced cost is above what the best has over the relaxation, less one unit, is in no
        cheaper layout. Given up where there are too many.
        """
        priced = self.relaxed
        if self.best is None or priced is None:
            return
        slack = self.best.aims[0] - self.unit - priced.bound
        weights = [length + self.job.saw.kerf for length in self.full.lengths]
        listed: list[Sawing] = []
        for k, kind in enumerate(self.kinds):
            room = self.effort.joint_patterns - len(listed)
            least = kind.price - priced.lent.get(k, 0.0) - slack
            found = every_pattern(weights, self.full.most, kind.room, priced.worth, least, room)
            if found is None:
                return
            listed += [(k, pattern) for pattern in found]
        low, high = self.bound - 0.5 * self.unit, self.best.aims[0] - 0.5 * self.unit
        ended = cheaper_layout(self.full, self.kinds, listed, low, high, self.effort, self.watch)
        if ended.x is not None:
            self._take(ended.x, listed)
        if ended.proven:
            self.bound = self.best.aims[0]

    def _take(self, x: NDArray[np.int64], listed: Sequence[Sawing]) -> Found:
        arcs = len(self.net.arcs)
        joints = self.net.joints(x[:arcs])
        wanted = Counter(piece.length for piece in pieces_of(self.job, joints))
        lengths = self.full.lengths
        demand = [wanted[length] for length in lengths]
        uses = trimmed(
            (Use(*sawing, int(n)) for sawing, n in zip(listed, x[arcs:], strict=True) if n), demand
        )
        used = tuple(length for length in lengths if wanted[length])
        index = {length: i for i, length in enumerate(used)}
        moved = [
            Use(use.kind, tuple((index[lengths[i]], n) for i, n in use.pattern), use.times) for use in uses
        ]
        return self._keep(joints, used, moved, sum(self.kinds[use.kind].price * use.times for use in moved))

    def rejoint(self, lots: Iterable[frozenset[int]]) -> None:
        """Joint some runs after others anew, the rest held, until the bound is met or lots give nothing.

        A layout that costs no more is gone on from, though it be no better: it may lead to one that is.
        """
        idle, now = 0, self.best
        for turn, lot in enumerate(islice(lots, MOST_LOTS)):
            if now is None or self.met or self.watch.up() or idle == IDLE:
                return
            stir = np.random.default_rng(turn).uniform(0.0, 1.0, len(self.net.arcs))
            found = self._anew(now, lot, stir)
            if found is None or found.aims[0] > now.aims[0]:
                idle += 1
                continue
            idle = idle + 1 if found.aims[0] == now.aims[0] else 0
            now = found

    def tidy(self) -> None:
        """Fewer joints, then fewer distinct lengths, at no more cost: some runs after others."""
        lots = [*self.far, *self.near]
        if len(self.net.arcs) <= FEW:
            lots += [*lots_together(self.net), *self.far]
        as_is = np.ones(len(self.net.arcs))
        for lot in lots[:MOST_LOTS]:
            if self.best is None or self.watch.up():
                return
            self._anew(self.best, lot, as_is)

    def _anew(self, now: Found, lot: frozenset[int], stir: NDArray[np.float64]) -> Found | None:
        listed = list(self.sawings)
        held = Held(
            joints=now.joints,
            cost=now.aims[0],
            joint_count=now.aims[1],
            pieces=Counter(piece.length for piece in pieces_of(self.job, now.joints)),
        )
        x = jointed_anew(self.full, self.net, self.kinds, listed, held, lot, self.bound, stir, self.watch)
        return None if x is None else self._take(x, listed)


def search(
    job: Job,
    kinds: Sequence[Kind],
    freedom: Freedom,
    starts: Iterable[Found],
    first: Joints,
    effort: Effort,
    watch: Watch,
    best: Found | None = None,
) -> Search:
    """Cheapest layout within a freedom.

    Parameters
    ----------
    job : Job
        Can be jointed.
    kinds : sequence of Kind
    freedom : Freedom
    starts : iterable of Found
        Layouts to learn patterns from.
    first : dict
        Joints of a layout within the freedom.
    effort : Effort
    watch : Watch
    best : Found, optional
        A layout within the freedom, to be beaten.

    Returns
    -------
    Search
        Ended: its best layout, and the bound.
    """
    run = Search(job=job, kinds=kinds, freedom=freedom, effort=effort, watch=watch, best=best)
    run.set_bound()
    for found in starts if best is None else (*starts, best):
        run.learn(found)
    if run.met:
        return run
    if not run.net.arcs or run.best is None:
        run.offer(first)
    apart, together = (*run.far, *run.far, *run.near, *run.far, *run.far), lots_together(run.net)
    steps: list[Callable[[], object]] = [
        partial(run.rejoint, apart),
        partial(run.tighten, fully=False),
        run.reach_bound,
        partial(run.rejoint, apart),
        partial(run.rejoint, together),
        run.restrict,
        run.guided,
        partial(run.tighten, fully=True),
        run.complete,
        run.guided,
        run.restrict,
    ]
    if len(run.net.arcs) > MANY_ARCS:
        steps = [partial(run.rejoint, apart), partial(run.rejoint, together)]
    for step in steps if run.net.arcs else ():
        if run.met or watch.up():
            break
        step()
    return run

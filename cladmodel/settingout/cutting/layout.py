"""Joint lines and saw cuts of a whole job chosen together, all walls in one order."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.by_hand import by_hand, joint_cost
from cladmodel.settingout.cutting.found import Found, Freedom, as_found
from cladmodel.settingout.cutting.inputs import Job, cut_length
from cladmodel.settingout.cutting.knapsack import Kind
from cladmodel.settingout.cutting.network import network, pieces_of
from cladmodel.settingout.cutting.plans import Choice, Joints, Layout, RunKey
from cladmodel.settingout.cutting.programs import Effort, Watch
from cladmodel.settingout.cutting.reach import Fewest, fewest_joints, need_reach
from cladmodel.settingout.cutting.search import Search, search
from cladmodel.settingout.cutting.stock import (
    Counted,
    cut_counts,
    kinds_of,
    plan_of,
    too_little_stock,
)

# What a run may have beyond its fewest joints when fewer boards are looked for: one joint more if it needs
# joints, none if a single board reaches along it.
ONE_MORE = (1, 0)
# Nodes of the programs that look for fewer boards: they cost time and seldom more than the first pays.
FEW_NODES = 10
# Possible pieces in the runs that are freed together; half as many again take several times as long.
WINDOW = 1200
# Up to so many possible pieces in all, the whole job is searched by the same aims. By trial.
WHOLE_JOB = 500


def set_out(job: Job, effort: Effort | None = None) -> Layout:
    """Choose joints and cuts of a job.

    Aims, in order: price of the boards and of priced joints; joints; distinct lengths; leftovers. A wall
    without a joint price gets as few joints as its rules allow; one with a price may have one joint more in
    every run that needs any. Should the hand method keep all rules with a cheaper total, the choice with the
    fewest joints that costs no more than that is taken.

    Parameters
    ----------
    job : Job
    effort : Effort, optional

    Returns
    -------
    Layout

    Raises
    ------
    SettingOutError
        If some run or course cannot be jointed, or the stock limits leave too few boards; says where, which
        rule, and the smallest change that would help.
    """
    effort = effort or Effort()
    need_reach(job)
    _need_stock(job)
    fewest = fewest_joints(job, effort)
    kinds, spare = kinds_of(job.stocks, job.saw)
    hand, broken = _hand(job)
    watch = Watch(effort.guard)
    base = _base(job, kinds, fewest, hand, effort, watch)
    assert base.best is not None
    short = sum(use.times for use in base.best.uses if use.kind == spare)
    if short:
        raise SettingOutError(too_little_stock(job.stocks, short))

    tried = [base.best, *_fewer_boards(job, kinds, fewest, base.best, effort, watch)]
    fair = hand if hand is not None and not broken else None
    if fair is not None:
        tried.append(_cut_exactly(job, kinds, fair.joints, effort, watch))
    made = [
        _choice(job, found, repeatable=not watch.struck)
        for found in tried
        if all(use.kind != spare for use in found.uses)
    ]
    best, bound = _pick(job, kinds, fewest, base, made, fair, effort, watch)
    return Layout(
        best=best,
        bound=min(bound, best.cost),
        repeatable=not watch.struck,
        by_hand=hand,
        broken_by_hand=broken,
        choices=_front(made),
    )


def _need_stock(job: Job) -> None:
    """Refuse at once a job whose boards are longer together than all that the limits leave."""
    runs = [run.segment for run in job.runs()]
    gap = job.rules.joint_gap
    need = sum(cut_length(run, run.left, run.right, gap) - gap * len(run.columns) for run in runs)
    left = sum(math.inf if s.limit is None else s.limit * job.saw.usable(s) for s in job.stocks)
    if need > left:
        raise SettingOutError(
            too_little_stock(job.stocks, math.ceil((need - left) / job.longest), least=True)
        )


def _hand(job: Job) -> tuple[Choice | None, tuple[str, ...]]:
    try:
        return by_hand(job)
    except SettingOutError as error:
        return None, (str(error),)


def _base(
    job: Job,
    kinds: Sequence[Kind],
    fewest: Mapping[str, Fewest],
    hand: Choice | None,
    effort: Effort,
    watch: Watch,
) -> Search:
    """Fewest joints in every wall, and for these the least stock."""
    freedom = Freedom(
        more={name: found.more for name, found in fewest.items()},
        caps={name: found.joints for name, found in fewest.items() if any(found.more)},
        prices=dict.fromkeys(fewest, 0),
    )
    first = {key: lines for found in fewest.values() for key, lines in found.layout.items()}
    starts = () if hand is None else (as_found(hand, job),)
    ended = search(job, kinds, freedom, starts, first, effort, watch)
    ended.tidy()
    return ended


def _fewer_boards(
    job: Job,
    kinds: Sequence[Kind],
    fewest: Mapping[str, Fewest],
    base: Found,
    effort: Effort,
    watch: Watch,
) -> list[Found]:
    """Layouts with less stock and more joints: some courses after others are freed, the rest stays.

    Every wall when options are asked for, else those whose joints have a price.
    """
    light = replace(effort, nodes=min(effort.nodes, FEW_NODES), dives=1)
    prices = job.joint_prices
    now, left = base, effort.arcs
    found: list[Found] = []
    for wall in job.walls:
        if wall.joint_price is None and not effort.options:
            continue
        more = {wall.name: max(ONE_MORE, fewest[wall.name].more)}
        windows, before = _windows(job, more), None
        while now is not before:
            before = now
            for free, arcs in windows:
                left -= arcs
                if left < 0 or watch.up():
                    return found
                freedom = Freedom(more=more, caps={}, prices=prices, held=now.joints, free=free)
                own = prices[wall.name] * sum(len(lines) for key, lines in now.joints.items() if key in free)
                start = replace(now, aims=(now.price + own, *now.aims[1:]))
                ended = search(job, kinds, freedom, (), now.joints, light, watch, best=start)
                assert ended.best is not None
                if ended.best.aims[0] < start.aims[0]:
                    ended.tidy()
                    now = ended.best
                    found.append(now)
    return found


def _windows(job: Job, more: Mapping[str, tuple[int, int]]) -> list[tuple[frozenset[RunKey], int]]:
    """Runs of one wall in lots of courses next to each other, with the number of their possible pieces."""
    keys = frozenset(run.key for run in job.runs() if run.wall.name in more)
    net = network(job, more, {}, keys)
    arcs = Counter(net.runs[arc.run].key for arc in net.arcs)
    lots: list[tuple[frozenset[RunKey], int]] = []
    lot: set[RunKey] = set()
    size = 0
    for _, course in groupby(sorted(arcs, key=lambda key: (key[1], key[2])), key=lambda key: key[1]):
        runs = list(course)
        count = sum(arcs[key] for key in runs)
        if lot and size + count > WINDOW:
            lots.append((frozenset(lot), size))
            lot, size = set(), 0
        lot |= set(runs)
        size += count
    return [*lots, (frozenset(lot), size)] if lot else lots


def _cut_exactly(job: Job, kinds: Sequence[Kind], joints: Joints, effort: Effort, watch: Watch) -> Found:
    wanted = Counter(piece.length for piece in pieces_of(job, joints))
    lengths = tuple(sorted(wanted, reverse=True))
    counted = cut_counts(
        [length + job.saw.kerf for length in lengths], [wanted[x] for x in lengths], kinds, effort, watch
    )
    count = sum(len(lines) for lines in joints.values())
    aims = (counted.price, count, len(lengths))
    return Found(joints=joints, lengths=lengths, uses=counted.uses, price=counted.price, aims=aims)


def _choice(job: Job, found: Found, *, repeatable: bool) -> Choice:
    counted = Counted(uses=found.uses, price=found.price, bound=found.price)
    pieces = pieces_of(job, found.joints)
    plan = plan_of(counted, found.lengths, pieces, job.stocks, job.saw, repeatable)
    return Choice(
        joints={key: lines for key, lines in found.joints.items() if lines},
        plan=plan,
        joint_count=sum(len(lines) for lines in found.joints.values()),
        boards=len(plan.boards),
        cost=plan.price + joint_cost(job, found.joints),
    )


def _front(made: Sequence[Choice]) -> tuple[Choice, ...]:
    """Those that no other beats in both price of boards and joints, fewest joints first."""
    front: list[Choice] = []
    for choice in sorted(made, key=lambda c: (c.joint_count, c.plan.price, len(c.plan.lengths))):
        if not front or choice.plan.price < front[-1].plan.price:
            front.append(choice)
    return tuple(front)


def _pick(
    job: Job,
    kinds: Sequence[Kind],
    fewest: Mapping[str, Fewest],
    base: Search,
    made: Sequence[Choice],
    fair: Choice | None,
    effort: Effort,
    watch: Watch,
) -> tuple[Choice, int]:
    """The choice to build, and what no choice by the same aims can cost less than."""
    unpriced = {wall.name for wall in job.walls if wall.joint_price is None}

    def few(choice: Choice) -> bool:
        counts = Counter(key[0] for key, lines in choice.joints.items() for _ in lines)
        return all(counts[name] <= fewest[name].joints for name in unpriced)

    def aims(choice: Choice) -> tuple[int, int, int]:
        return (choice.cost, choice.joint_count, len(choice.plan.lengths))

    best = min((choice for choice in made if few(choice)), key=aims)
    freed = {wall.name for wall in job.walls} - unpriced
    if fair is not None and fair.cost < best.cost:
        ways = [choice for choice in made if choice.cost <= fair.cost]
        best = min(ways, key=lambda c: (c.joint_count, *aims(c)))
        freed = {wall.name for wall in job.walls}
    if not freed:
        return best, base.bound
    freedom = Freedom(
        more={
            name: max(ONE_MORE, found.more) if name in freed else found.more for name, found in fewest.items()
        },
        caps={name: found.joints for name, found in fewest.items() if any(found.more) and name not in freed},
        prices=job.joint_prices,
    )
    whole_job = Search(job=job, kinds=kinds, freedom=freedom, effort=effort, watch=watch)
    whole_job.set_bound()
    if len(whole_job.net.arcs) <= WHOLE_JOB and whole_job.bound < best.cost:
        start = as_found(best, job)
        whole_job = search(job, kinds, freedom, (), best.joints, effort, watch, best=start)
        if whole_job.best is not None and whole_job.best.aims < start.aims:
            whole_job.tidy()
            best = _choice(job, whole_job.best, repeatable=not watch.struck)
    return best, whole_job.bound

"""How a sound model is broken: where, by how much, and what a check must then say."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache

import manifold3d
import numpy as np
from numpy.typing import NDArray

from cladmodel.checks.finding import Finding, Verdict
from cladmodel.checks.thresholds import Threshold, threshold
from cladmodel.model import Fixings, Kind, Model, Part

from .sound import Sound, singles

Floats = NDArray[np.float64]

NEAR = 0.02
"""Sizes keep this share of a threshold off it, or the measuring tolerance if that is more."""


class NoPlace(Exception):  # noqa: N818 a place refused is no error
    """Nothing here can be broken in that way; try elsewhere."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Broken:
    """A model with one thing wrong.

    Attributes
    ----------
    model : Model
    marks : set of str
        The finding must name one of these, as `mark` or `other`.
    size : float
        What the check's quantity now is.
    within : float or None
        How near the figure found must come to it; None where no figure is held.
    at : (x, y) or None
        The finding must be within `around` of here. [mm]
    sound : Sound or None
        Where the rules or the exposure were changed with it.
    """

    model: Model
    marks: frozenset[str]
    size: float
    within: float | None = None
    at: tuple[float, float] | None = None
    around: float = 150.0
    sound: Sound | None = None


Make = Callable[[Sound, random.Random, "Draw"], Broken]


@dataclass(frozen=True, kw_only=True)
class Draw:
    """Draws a size over or under one threshold."""

    rng: random.Random
    threshold: Threshold
    over: bool

    def limit(self, sound: Sound) -> float:
        return self.threshold.limit(sound.rules, sound.exposure).value

    def __call__(self, sound: Sound, *, now: float, gross: float, limit: float | None = None) -> float:
        """What the quantity is to become: beyond the limit up to `gross`, or short of it down to `now`."""
        limit = self.limit(sound) if limit is None else limit
        least = max(NEAR * abs(limit), 2 * self.threshold.tolerance)
        way = 1.0 if self.threshold.worse == "over" else -1.0
        if self.over:
            most = (gross - limit) * way
            if most <= least:
                raise NoPlace
            return limit + way * math.exp(self.rng.uniform(math.log(least), math.log(most)))
        room = (limit - now) * way - least
        if room < 0:
            raise NoPlace
        return limit - way * (least + self.rng.random() * room)


@dataclass(frozen=True, kw_only=True)
class Mutation:
    """One way to break one rule."""

    check: str
    rule: str
    name: str
    make: Make
    pool: Callable[[], tuple[Sound, ...]]
    says: str
    also: str
    """A graver finding of the same check that may stand for it when gross."""
    owner: str
    """Another check that may say it in this one's place: one cause, one finding."""
    has_short: bool
    """Whether there is such a thing as a little of it."""

    @property
    def threshold(self) -> Threshold:
        return threshold(self.check, self.rule)


MUTATIONS: list[Mutation] = []


def breaks(
    check: str,
    rule: str,
    *,
    says: str = "",
    also: str = "",
    owner: str = "",
    short: bool = True,
    pool: Callable[[], tuple[Sound, ...]] = singles,
) -> Callable[[Make], Make]:
    """Register a way to break a rule; `says` is in the finding's text, `also` in that of a graver one."""

    def register(make: Make) -> Make:
        name = make.__name__.replace("_", " ")
        MUTATIONS.append(
            Mutation(
                check=check,
                rule=rule,
                name=name,
                make=make,
                pool=pool,
                says=says,
                also=also,
                owner=owner,
                has_short=short,
            )
        )
        return make

    return register


TRIES = 400
"""Places tried before a mutation is said to fit nowhere."""


def broken(mutation: Mutation, rng: random.Random, *, over: bool) -> tuple[Sound, Broken]:
    """Break a random sound model at a random place by a random size."""
    for _ in range(TRIES):
        sound = rng.choice(mutation.pool())
        try:
            done = mutation.make(sound, rng, Draw(rng=rng, threshold=mutation.threshold, over=over))
        except NoPlace:
            continue
        return sound, done
    raise LookupError(f"{mutation.check}, {mutation.name}: fits nowhere")


@cache
def said_before(sound: Sound, check: str) -> tuple[Finding, ...]:
    """What a check says of a wall that is not broken."""
    return tuple(sound.findings(check))


def fault(mutation: Mutation, sound: Sound, done: Broken, *, over: bool) -> str:
    """What is wrong with a check's answer; empty when it is right."""
    was = {(f.text, f.mark) for f in said_before(sound, mutation.check)}
    broke = done.sound or sound
    found = [f for f in broke.findings(mutation.check, done.model) if (f.text, f.mark) not in was]
    mine = [f for f in found if mutation.says in f.text]
    if not over:
        said = [f for f in mine if not done.marks or {f.mark, f.other} & done.marks]
        return f"said of {done.size:g}: {said[0].text}" if said else ""
    graver = [f for f in found if mutation.also and mutation.also in f.text]
    named = [f for f in mine + graver if not done.marks or {f.mark, f.other} & done.marks]
    if not named and mutation.owner:
        owned = broke.findings(mutation.owner, done.model)
        if any({f.mark, f.other} & done.marks for f in owned):
            return ""
    if not named:
        return f"nothing of {done.size:g} at {sorted(done.marks)[:4]}; said: {[f.text for f in found][:2]}"
    if done.at is not None:
        x, y = done.at
        near = [f for f in named if f.where and math.hypot(f.where[0] - x, f.where[1] - y) <= done.around]
        if not near:
            return f"{done.size:g} at {done.at}, found at {named[0].where}: {named[0].text}"
        named = near
    weight = [Verdict.NOT_ASSESSED, Verdict.OK, Verdict.CAUTION, Verdict.FAIL]
    if max(weight.index(f.verdict) for f in named) < weight.index(mutation.threshold.verdict):
        return f"{done.size:g} is only {named[0].verdict}: {named[0].text}"
    if done.within is not None and not any(
        f.measured is not None and abs(abs(f.measured) - abs(done.size)) <= done.within for f in named
    ):
        return f"{done.size:g} measured as {named[0].measured}: {named[0].text}"
    return ""


# What is done to solids ---------------------------------------------------------------------------------


def solid(vertices: Floats, faces: NDArray[np.integer]) -> manifold3d.Manifold:
    mesh = manifold3d.Mesh64(
        np.ascontiguousarray(vertices, np.float64), np.ascontiguousarray(faces).astype(np.uint64)
    )
    return manifold3d.Manifold(mesh)


BOX_FACES = np.array([(0, 2, 1), (1, 2, 3), (4, 5, 6), (5, 7, 6), (0, 1, 4), (1, 5, 4),
                      (2, 6, 3), (3, 6, 7), (0, 4, 2), (2, 4, 6), (1, 3, 5), (3, 7, 5)])  # fmt: skip
"""Of eight corners, x changing first, then y, then z."""


def box(low: Iterable[float], high: Iterable[float]) -> manifold3d.Manifold:
    low, high = np.asarray(list(low), float), np.asarray(list(high), float)
    corner = np.array([[(low, high)[i][0], (low, high)[j][1], (low, high)[k][2]]
                       for k in (0, 1) for j in (0, 1) for i in (0, 1)])  # fmt: skip
    return solid(corner, BOX_FACES)


def as_part(part: Part, shape: manifold3d.Manifold, mark: str | None = None) -> Part:
    mesh = shape.to_mesh64()
    if shape.is_empty() or len(shape.decompose()) != 1:
        raise NoPlace  # cut in two, or away altogether
    return replace(
        part,
        mark=mark or part.mark,
        vertices=np.asarray(mesh.vert_properties)[:, :3].astype(np.float64),
        faces=np.asarray(mesh.tri_verts).astype(np.int64),
    )


def carved(part: Part, *tools: manifold3d.Manifold) -> Part:
    """A piece with something cut out of it, still in one."""
    shape = solid(part.vertices, part.faces)
    for tool in tools:
        shape = shape - tool
    return as_part(part, shape)


def kept(part: Part, tool: manifold3d.Manifold, mark: str | None = None) -> Part:
    """What of a piece is inside a tool."""
    return as_part(part, solid(part.vertices, part.faces) ^ tool, mark)


def block(
    mark: str, kind: Kind, wall: str, low: Iterable[float], high: Iterable[float], **more: object
) -> Part:
    """A box as a piece."""
    part = Part(
        mark=mark, kind=kind, wall=wall, vertices=np.empty((0, 3)), faces=np.empty((0, 3), np.int64), **more
    )  # type: ignore[arg-type]
    return as_part(part, box(low, high))


def moved(part: Part, by: Iterable[float]) -> Part:
    return part.with_vertices(part.vertices + np.asarray(list(by), float))


def turned(part: Part, radians: float, about: tuple[float, float]) -> Part:
    """A piece leaned further in (above 0) about a line along the wall, given by its y and z."""
    cos, sin = math.cos(radians), math.sin(radians)
    vertices = part.vertices.copy()
    vertices[:, 1:] = (vertices[:, 1:] - about) @ np.array([[cos, -sin], [sin, cos]]) + about
    return part.with_vertices(vertices)


def with_parts(model: Model, *extra: Part) -> Model:
    return replace(model, parts=model.parts + extra)


def without(model: Model, *marks: str) -> Model:
    return replace(model, parts=tuple(p for p in model.parts if p.mark not in marks))


def one_alone(model: Model, group: Fixings, index: int, **changes: object) -> Model:
    """One fixing of a group taken out of it and put into a group of its own, changed."""
    keep = np.arange(len(group.heads)) != index
    rest = replace(group, heads=group.heads[keep], directions=group.directions[keep])
    own = replace(group, heads=group.heads[[index]], directions=group.directions[[index]])
    own = replace(own, mark=f"{group.mark}, one alone", **changes)  # type: ignore[arg-type]
    return replace(
        model, fixings=tuple(f for g in model.fixings for f in ((rest, own) if g is group else (g,)))
    )


def heads_moved(model: Model, group: Fixings, index: int, by: Iterable[float]) -> Model:
    heads = group.heads.copy()
    heads[index] += np.asarray(list(by), float)
    return replace(model, fixings=tuple(replace(g, heads=heads) if g is group else g for g in model.fixings))

"""The figure at which each rule of each check gives a caution or a fail: read from what the checks use."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from cladmodel.checks import board_facts, concealed, fixings, joints, nails, slivers, unheld
from cladmodel.checks.exposure import Exposure
from cladmodel.checks.finding import Verdict
from cladmodel.checks.rules import COMMON, EXACT, TOUCH, Limit, Rules
from cladmodel.standards import guidance
from cladmodel.standards import nails as nail_rules

Given = Callable[[Rules, Exposure], Limit]


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """Where one rule of a check turns from sound to not sound.

    Attributes
    ----------
    rule : str
        Short name, unique within its check.
    quantity : str
        What is measured, in a few words.
    worse : str
        ``under`` or ``over``: on which side of the figure it is wrong.
    verdict : Verdict
        What it then is.
    given : callable
        The limit, from the rules and the exposure in use.
    field : str
        Field of the scene that sets it, as ``board.least_lap``; empty where none does.
    tolerance : float
        Within this of the figure neither verdict is promised, in the figure's unit. Float noise unless said.
    apart : str
        What the rule does not look at, or why the tolerance is more than float noise.
    """

    rule: str
    quantity: str
    worse: str
    verdict: Verdict
    given: Given
    field: str = ""
    tolerance: float = EXACT
    apart: str = ""

    def limit(self, rules: Rules | None = None, exposure: Exposure | None = None) -> Limit:
        """The limit in use; the default one where nothing is given.

        Parameters
        ----------
        rules : Rules, optional
        exposure : Exposure, optional
        """
        return self.given(rules or Rules(), exposure or Exposure())


FAIL, CAUTION = Verdict.FAIL, Verdict.CAUTION


def _fixed(value: float, unit: str, basis: str) -> Given:
    limit = Limit(value=value, unit=unit, basis=basis)
    return lambda rules, exposure: limit


def _over(verdict: Verdict, rule: str, quantity: str, given: Given, **more: Any) -> Threshold:
    return Threshold(rule=rule, quantity=quantity, worse="over", verdict=verdict, given=given, **more)


def _under(verdict: Verdict, rule: str, quantity: str, given: Given, **more: Any) -> Threshold:
    return Threshold(rule=rule, quantity=quantity, worse="under", verdict=verdict, given=given, **more)


_TABLE = nail_rules.distances(1.0, nail_rules.DENSEST, pre_drilled=True)
"""Table 8.2 for a nail of 1 mm: its distances are then in nail diameters."""

THRESHOLDS: dict[str, tuple[Threshold, ...]] = {
    "solids": (
        _over(
            FAIL,
            "open",
            "edges of a piece that lack a face",
            _fixed(0.0, "edges", "by definition"),
            tolerance=0.0,
        ),
        _under(FAIL, "volume", "volume of a piece", _fixed(0.0, "mm3", "by definition")),
    ),
    "lap": (_under(FAIL, "lap", "lap along the board below", lambda r, e: r.lap, field="board.least_lap"),),
    "tilt": (
        _over(CAUTION, "uneven", "lean off that of the boards round it", lambda r, e: r.tilt_even),
        _over(FAIL, "far off", "lean off that of the boards round it", lambda r, e: r.tilt_most),
    ),
    "contact": (
        _over(
            FAIL,
            "butt",
            "gap under a butt, or depth of it in the board below",
            lambda r, e: r.contact,
            apart="looked at on every batten, not between them; a board that leans 1 deg off is left to "
            "`tilt`, one driven into its batten to `clashes`",
        ),
        _over(
            FAIL,
            "top edge",
            "gap behind a top edge",
            lambda r, e: r.packing,
            apart="as above; a rake's point on half a batten, and a cut top with less than 9 of bare "
            "batten under it, take no packer",
        ),
        _over(
            FAIL,
            "level",
            "butt off the level of its course",
            lambda r, e: r.level,
            apart="a course of one board has no other to be level with",
        ),
    ),
    "cavity": (
        _under(
            FAIL, "depth", "clear depth in front of the membrane", lambda r, e: r.cavity, field="rules.cavity"
        ),
        _under(FAIL, "closed", "depth all across a bay", lambda r, e: r.air_path),
        _over(
            FAIL, "bare", "width of a place with membrane behind and nothing in front", lambda r, e: r.bare
        ),
        _under(
            FAIL,
            "strip",
            "free opening of a whole line of strip, from its first bay to its last",
            lambda r, e: r.vent_area,
            tolerance=0.1,
            apart="a line under 500, or that shows nowhere 20 between two battens: `air` looks at each bay",
        ),
    ),
    "joints": (
        _under(FAIL, "bearing", "batten under the worse of two ends", lambda r, e: r.bearing),
        _over(
            FAIL,
            "gap",
            "gap between two ends",
            lambda r, e: r.joint_gap,
            apart="ends that face each other over less than half are corners that nearly touch, and no joint",
        ),
        _over(
            FAIL,
            "end",
            "gap between a board's end and the post or trim it should stop at",
            lambda r, e: r.end_gap,
        ),
        _under(
            FAIL,
            "stagger",
            "distance to a joint of the next course",
            lambda r, e: r.stagger,
            field="rules.stagger",
        ),
        _under(
            FAIL,
            "column",
            "distance to a joint within `rules.column_rest` courses",
            _fixed(joints.SAME_COLUMN, "mm", COMMON),
        ),
    ),
    "nails": (
        _over(
            FAIL,
            "two boards",
            "wood of a second board on a nail's line",
            _fixed(TOUCH, "mm", nails.ONE.basis),
            tolerance=TOUCH,
        ),
        _under(
            FAIL,
            "clearance",
            "underside of a nail above the board below",
            lambda r, e: r.nail_clearance,
            field="rules.nail_clearance",
        ),
        _under(
            FAIL,
            "penetration",
            "depth of a nail in its batten; a nail that misses has none",
            lambda r, e: r.nail_penetration,
            field="rules.nail_penetration",
        ),
        _under(FAIL, "edge", "nail to its batten's side, in nail diameters", lambda r, e: r.nail_edge),
        _under(FAIL, "end", "nail to its board's end", lambda r, e: r.nail_end, field="fixings.end_distance"),
        _over(FAIL, "seat", "head off the board's face, or sunk in it", lambda r, e: r.nail_seat),
        _over(
            CAUTION,
            "point",
            "point out of the batten's back",
            lambda r, e: nails.BACK,
            tolerance=TOUCH,
            apart="the tolerance is a touch",
        ),
        _over(
            FAIL,
            "bare",
            "nearest nail of a board to the far side of a batten behind it",
            _fixed(unheld.REACH, "mm", unheld.BASIS),
            apart=f"battens less than {unheld.AS_ONE:g} apart hold as one; a board with less than "
            f"{unheld.ROOM:g} bare takes no nail",
        ),
        _over(
            CAUTION,
            "twice",
            "nails of one board in one batten",
            _fixed(1.0, "nails", unheld.BASIS),
            tolerance=0.0,
        ),
    ),
    "noses": (
        _under(FAIL, "nose", "front of a post or trim before the nose that stops at it", lambda r, e: r.nose),
    ),
    "slivers": (
        _under(
            CAUTION,
            "height",
            f"height of a board over a run of {slivers.RUNS_ON:g} or more",
            lambda r, e: r.least_rip,
            field="rules.least_rip",
            tolerance=0.01,
            apart="heights are taken a hair off each corner; the pointed end of a rake cut does not count",
        ),
        _under(CAUTION, "length", "length of a board", lambda r, e: r.least_piece, field="rules.least_piece"),
    ),
    "concealed": (
        _over(
            FAIL,
            "seen",
            "sight lines on which a hidden head can be seen",
            _fixed(0.0, "lines", concealed.BASIS),
            tolerance=0.0,
            apart="sight lines stand up to 15 deg apart sideways and 20 deg up and down: a hole that shows "
            "the head through less than that may go unseen",
        ),
    ),
    "clashes": (
        _over(
            FAIL,
            "depth",
            "least move that would part two pieces",
            _fixed(TOUCH, "mm", "a touch: far below a saw's accuracy, far above float noise"),
            apart="a butt in the board below is said by `contact`, what a wrong lean drives in by `tilt`",
        ),
    ),
    "clearance": (
        _under(
            FAIL,
            "ground",
            "lowest timber above the ground",
            lambda r, e: r.ground_clearance,
            field="rules.ground_clearance",
        ),
    ),
    "air": (
        _under(
            FAIL,
            "free area",
            "free area of each opening of each bay",
            lambda r, e: Limit(value=e.openings.area, unit="mm2/m", basis=e.openings.source.basis),
            field="air.rule",
            tolerance=1.0,
            apart="specks under 0.5 mm2 are left out",
        ),
        _under(
            FAIL,
            "narrowest",
            "width of the way through each opening of each bay",
            lambda r, e: Limit(value=e.openings.narrowest, unit="mm", basis=e.openings.source.basis),
            field="air.rule",
            tolerance=0.01,
        ),
        _over(
            CAUTION,
            "insects",
            "widest slot of a strip, or mesh where there is no strip",
            lambda r, e: e.insects,
            tolerance=0.01,
        ),
    ),
    "moisture": (
        _over(
            CAUTION,
            "too wet",
            "moisture of the boards when hung",
            lambda r, e: Limit(value=e.fixing_range.high, unit="%", basis=e.fixing_range.source.basis),
        ),
        _under(
            CAUTION,
            "too dry",
            "moisture of the boards when hung",
            lambda r, e: Limit(value=e.fixing_range.low, unit="%", basis=e.fixing_range.source.basis),
        ),
        _under(FAIL, "dry lap", "lap at the driest", lambda r, e: e.dry_lap),
        _over(CAUTION, "dry gap", "gap that opens under a butt at the driest", lambda r, e: e.dry_gap),
        _under(
            FAIL,
            "wet clearance",
            "nail above the swollen board below at the wettest",
            lambda r, e: e.wet_clearance,
        ),
    ),
    "wind": (
        _over(
            FAIL,
            "pull",
            "suction on a nail's strip over what the nail holds",
            _fixed(1.0, "-", "EN 1995-1-1 8.3.2 and EN 1991-1-4, found second-hand"),
            apart="a caution where a ringed nail's own strength is not given",
        ),
        _under(
            FAIL,
            "holds nothing",
            "depth of a ringed nail's point, in nail diameters (8 for a smooth one)",
            _fixed(nail_rules.LEAST_DEPTH_RINGED, "d", nail_rules.SHORT_PENETRATION.basis),
        ),
    ),
    "fixings": (
        _under(
            FAIL,
            "head",
            "head of a board nail over its shank",
            _fixed(1.0, "-", fixings.HEADS),
        ),
        _under(
            FAIL,
            "length",
            "length of a ringed board nail over the thickest butt (2.5 for a smooth one)",
            _fixed(guidance.NAIL_LENGTH_RINGED, "-", guidance.NAIL_LENGTH.basis),
        ),
        _over(
            FAIL,
            "metal",
            "metals that the timber attacks: bare steel, zinc in acidic wood; zinc in treated wood a caution",
            _fixed(0.0, "metals", "species and coats, from memory"),
            field="timber.species",
            tolerance=0.0,
        ),
        _over(CAUTION, "wide", "width of a board on one nail at each batten", lambda r, e: e.wide),
        _under(
            CAUTION,
            "end",
            "nail to its board's end, in nail diameters, drilled (10 not drilled, 15 if over 420 kg/m3)",
            _fixed(_TABLE.end, "d", nail_rules.TABLE_8_2.basis),
            field="fixings.drilled",
        ),
        _under(
            CAUTION,
            "edge",
            "nail to its board's edge, in nail diameters, holes drilled (5 or 7 not drilled)",
            _fixed(_TABLE.edge, "d", nail_rules.TABLE_8_2.basis),
            field="fixings.drilled",
        ),
        _under(
            CAUTION,
            "undrilled",
            "wood of a board on an undrilled nail, over the least that may stay undrilled",
            _fixed(1.0, "-", nail_rules.PRE_DRILLING.basis),
            field="fixings.drilled",
        ),
    ),
    "board_facts": (
        _over(
            CAUTION,
            "ratio",
            "width of a board over its butt",
            _fixed(guidance.WIDTH_TO_THICKNESS.high, "-", guidance.WIDTH_TO_THICKNESS.source.basis),
        ),
        _over(CAUTION, "square", "butt off square to the back", lambda r, e: board_facts.SQUARE),
        _over(
            CAUTION,
            "heart",
            "heart sides that face in, as the scene says",
            _fixed(0.0, "-", board_facts.HEART),
            field="timber.heart",
            tolerance=0.0,
        ),
        _over(
            CAUTION,
            "ends",
            "cut ends left bare, as the scene says",
            _fixed(0.0, "-", board_facts.ENDS),
            field="timber.cut_ends_treated",
            tolerance=0.0,
        ),
    ),
}
"""By the check's name, in the order of `run.CHECKS` and `run.LASTING`."""


def threshold(check: str, rule: str) -> Threshold:
    """One threshold by its check's and its own name.

    Parameters
    ----------
    check, rule : str

    Raises
    ------
    KeyError
        If there is none.
    """
    for own in THRESHOLDS[check]:
        if own.rule == rule:
            return own
    raise KeyError(f"{check} has no rule {rule!r}")

"""The report: everything measured and scheduled, as one JSON-safe dictionary.

Every key is documented in shared/docs/report.md; keys keep their names as long as ``format`` is the same.
Lengths are millimetres, angles degrees, areas square metres; the unit is in the key's name.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import fields
from importlib.metadata import version
from typing import Any

from cladmodel.checks.finding import Finding, Verdict, verdict
from cladmodel.checks.rules import Limit, Rules
from cladmodel.model import Model, Opening, Wall
from cladmodel.schedules.cautions import CAUTIONS, MODEL_ONLY
from cladmodel.schedules.cut_lines import plain_cut
from cladmodel.schedules.cutlist import CutPiece, cut_list, group_equal
from cladmodel.schedules.cutplan import CutSheet
from cladmodel.schedules.order import OrderLine, order
from cladmodel.schedules.profile import LapCut, Profile, profile
from cladmodel.schedules.quantities import areas, fixing_quantities, quantities
from cladmodel.schedules.report_building import corner_rows, rod_rows
from cladmodel.schedules.report_text import report_markdown
from cladmodel.schedules.rod import rod
from cladmodel.schedules.weights import finish_areas, weights

__all__ = ["FORMAT", "report", "report_markdown"]

FORMAT = 1
"""Raised when a key changes its name or its meaning."""

DECIMALS = 6
"""Kept of every figure: a nanometre, so that the last digits of float noise do not show."""

SQUARE_METRE = 1e6
"""[mm2]"""

Json = dict[str, Any]


def report(model: Model, findings: Sequence[Finding], rules: Rules, plan: CutSheet | None = None) -> Json:
    """Everything measured and scheduled about a model.

    Parameters
    ----------
    model : Model
    findings : sequence of Finding
        From `cladmodel.checks.run.run_checks`.
    rules : Rules
        The limits the checks held the model to.
    plan : CutSheet, optional

    Returns
    -------
    dict
        Of strings, numbers, booleans, lists and dictionaries only; see shared/docs/report.md.
    """
    area = areas(model)
    result = {
        "format": FORMAT,
        "tool": {"name": "cladmodel", "version": version("cladmodel")},
        "title": model.title,
        "about": MODEL_ONLY,
        "verdict": str(verdict(findings)),
        "counts": _counts(findings),
        "checks": _checks(findings),
        "findings": [_finding(finding) for finding in findings],
        "limits": {limit.name: _limit(getattr(rules, limit.name)) for limit in fields(rules)},
        "rod": rod_rows(model),
        "corners": corner_rows(model),
        "walls": [_wall(model, wall) for wall in model.walls],
        "quantities": [
            {
                "kind": str(q.kind),
                "section": q.section,
                "count": q.count,
                "total_length_mm": q.total_length,
                "total_area_m2": None if q.total_area is None else q.total_area / SQUARE_METRE,
            }
            for q in quantities(model)
        ],
        "fixings": [
            {"fastener": f.fastener, "material": f.material, "use": str(f.use), "count": f.count}
            for f in fixing_quantities(model)
        ],
        "areas": {"clad_m2": area.clad / SQUARE_METRE, "boards_m2": area.boards / SQUARE_METRE},
        "weights": [
            {"layer": w.layer, "volume_m3": w.volume, "mass_kg": w.mass, "basis": w.basis}
            for w in weights(model)
        ],
        "finish": [{"what": f.what, "area_m2": f.area} for f in finish_areas(model)],
        "order": [_order(line) for line in order(model, plan)],
        "cutting": None if plan is None else _cutting(plan),
        "notes": list(model.notes),
        "cautions": [{"topic": topic, "text": text} for topic, text in CAUTIONS],
    }
    return dict(_safe(result))


def _order(line: OrderLine) -> Json:
    return {
        "what": line.what,
        "section": line.section,
        "length_mm": line.length,
        "needed": line.needed,
        "spare": line.spare,
        "buy": line.buy,
        "unit": line.unit,
        "cost": line.cost,
    }


def _cutting(plan: CutSheet) -> Json:
    return {
        "proof": plan.proof,
        "boards_bought": len(plan.boards),
        "boards_by_hand": plan.by_hand,
        "choices": [
            {"boards": c.boards, "joints": c.joints, "cost": c.cost, "chosen": c.chosen} for c in plan.choices
        ],
        "boards": [
            {
                "number": board.number,
                "section": board.section,
                "stock_mm": board.length,
                "trims_mm": 2 * board.trim,
                "cuts_mm": board.lost,
                "left_over_mm": board.leftover,
                "pieces": [{"mark": piece.mark, "length_mm": piece.length} for piece in board.pieces],
            }
            for board in plan.boards
        ],
    }


def _safe(value: Any) -> Any:
    """Round figures, and turn those that JSON has no word for into null."""
    match value:
        case bool() | int() | str() | None:
            return value
        case float():
            return round(value, DECIMALS) + 0.0 if math.isfinite(value) else None
        case dict():
            return {str(key): _safe(item) for key, item in value.items()}
        case list() | tuple():
            return [_safe(item) for item in value]
        case _:
            return _safe(float(value))


def _counts(findings: Iterable[Finding]) -> Json:
    counted = Counter(finding.verdict for finding in findings)
    return {str(one): counted[one] for one in Verdict}


def _checks(findings: Sequence[Finding]) -> list[Json]:
    """One row a check, in the order they ran."""
    names = list(dict.fromkeys(finding.check for finding in findings))
    return [
        {
            "check": name,
            "verdict": str(verdict(own)),
            "found": sum(f.verdict in (Verdict.CAUTION, Verdict.FAIL) for f in own),
        }
        for name in names
        if (own := [finding for finding in findings if finding.check == name])
    ]


def _finding(finding: Finding) -> Json:
    return {
        "check": finding.check,
        "verdict": str(finding.verdict),
        "wall": finding.wall,
        "mark": finding.mark,
        "other": finding.other,
        "where_mm": None if finding.where is None else list(finding.where),
        "measured": finding.measured,
        "limit": finding.limit,
        "unit": finding.unit,
        "text": finding.text,
        "basis": finding.basis,
        "remedy": finding.remedy,
    }


def _limit(limit: Limit) -> Json:
    return {"value": limit.value, "unit": limit.unit, "basis": limit.basis}


def _wall(model: Model, wall: Wall) -> Json:
    cut = profile(model, wall, plain_cut(model, wall))
    pieces = cut_list(model, wall)
    return {
        "wall": wall.name,
        "length_mm": wall.length,
        "foot_to_soffit_mm": wall.head,
        "openings": [_opening(opening) for opening in wall.openings],
        "section": _section(cut),
        "rod": [
            {
                "course": mark.course,
                "from_foot_mm": mark.from_foot,
                "from_head_mm": mark.from_head,
                "gauge_mm": mark.gauge,
                "spread_mm": mark.spread,
            }
            for mark in rod(model, wall)
        ],
        "cut_list": [_piece(piece) for piece in pieces],
        "cut_groups": [
            {
                "section": group.section,
                "length_mm": group.length,
                "width_mm": group.width,
                "notched": group.notched,
                "ends": str(group.ends),
                "count": group.count,
                "marks": list(group.marks),
            }
            for group in group_equal(pieces)
        ],
    }


def _opening(opening: Opening) -> Json:
    return {
        "name": opening.name,
        "door": opening.door,
        "left_mm": opening.left,
        "right_mm": opening.right,
        "sill_mm": opening.sill,
        "head_mm": opening.head,
    }


def _section(cut: Profile) -> Json:
    """What one plumb cut shows."""
    above = {lap.lower.mark: lap for lap in cut.laps}
    return {
        "cut_at_mm": cut.x,
        "cavity_mm": cut.cavity,
        "ground_clearance_mm": cut.ground_clearance,
        "fillet_air_gap_mm": cut.fillet_gap,
        "courses": [
            {
                "course": board.course,
                "mark": board.mark,
                "butt_line_mm": board.back_foot[1],
                "width_mm": board.width,
                "butt_mm": board.butt,
                "thin_edge_mm": board.thin_edge,
                "tilt_deg": math.degrees(board.tilt),
                "kick_out_mm": board.kick_out,
                **_lap(above.get(board.mark)),
            }
            for board in cut.boards
        ],
        "nails": [
            {
                "mark": nail.board.mark,
                "up_face_mm": nail.up_face,
                "above_board_below_mm": nail.above_board_below,
                "in_batten_mm": nail.penetration,
            }
            for nail in cut.nails
        ],
    }


def _lap(lap: LapCut | None) -> Json:
    """How the next course laps over this one; nulls for the top course."""
    return {
        "gauge_mm": None if lap is None else lap.gauge,
        "lap_mm": None if lap is None else lap.lap,
        "plumb_lap_mm": None if lap is None else lap.plumb_lap,
    }


def _piece(piece: CutPiece) -> Json:
    return {
        "mark": piece.mark,
        "course": piece.course,
        "section": piece.section,
        "length_mm": piece.length,
        "width_mm": piece.width,
        "ripped": piece.ripped,
        "ends": str(piece.ends),
        "notches": [
            {"edge": notch.edge, "left_mm": notch.left, "right_mm": notch.right, "depth_mm": notch.depth}
            for notch in piece.notches
        ],
        "end_cuts": [
            {"end": cut.end, "edge": cut.edge, "shorter_mm": cut.shorter, "rise_mm": cut.rise}
            for cut in piece.end_cuts
        ],
    }

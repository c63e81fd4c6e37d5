"""What a piece carries into another program, in one place for every format that has room for it."""

from __future__ import annotations

from typing import Any

from cladmodel.model import Fixings, Part

METRES = 1e-3  # from millimetres


def part_figures(part: Part) -> dict[str, Any]:
    """Gather what someone with other software needs to know of a piece.

    Parameters
    ----------
    part : Part

    Returns
    -------
    dict
        Names and plain values; what a piece has not is left out.
    """
    figures: dict[str, Any] = {"kind": str(part.kind), "wall": part.wall}
    if part.course is not None:
        figures["course"] = int(part.course)
    figures["cut_length_mm"] = round(float(part.cut_length_mm), 3)
    figures["section"] = part.section
    figures["material"] = part.material
    if part.assembly is not None:
        figures["assembly"] = part.assembly
    return figures


def fixing_figures(group: Fixings) -> dict[str, Any]:
    """Gather what someone with other software needs to know of a group of nails or screws.

    Parameters
    ----------
    group : Fixings

    Returns
    -------
    dict
        Names and plain values.
    """
    fastener = group.fastener
    return {
        "use": str(group.use),
        "wall": group.wall,
        "count": len(group.heads),
        "fastener": fastener.name,
        "diameter_mm": round(float(fastener.diameter), 3),
        "length_mm": round(float(fastener.length), 3),
        "head_diameter_mm": round(float(fastener.head_diameter), 3),
        "headed": bool(fastener.headed),
        "ringed": bool(fastener.ringed),
        "material": fastener.material,
        "concealed": bool(group.concealed),
    }

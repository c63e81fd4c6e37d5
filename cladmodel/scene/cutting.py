"""What the user says of buying and sawing boards."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from cladmodel.scene.fields import Table, choice, many, number

GIVEN = "of the merchant; left out, boards are counted, not priced"


class CuttingTable(Table):
    """How joints are chosen and boards are bought."""

    method: Literal["planned", "quick"] = choice(
        "planned",
        "joints and saw cuts chosen together over all walls, or joints only, course by course",
        "planned takes fewer boards; quick is for drafts",
    )
    prices: tuple[Annotated[float, Field(gt=0, le=100_000)], ...] = many(
        (), 12, "price of one board of each stock length, in the order of board.stock", GIVEN, "coin"
    )
    limits: tuple[Annotated[int, Field(ge=0, le=100_000)], ...] = many(
        (), 12, "most boards to be had of each stock length, in the order of board.stock", GIVEN, "count"
    )
    reject_percent: float = number(
        3, 0, 50, "boards found faulty on the bench", "2-3 %, common practice, no source", "%"
    )
    sure_percent: float = number(
        95, 50, 99.9, "how sure to be that the spare boards are enough", "common practice, no source", "%"
    )

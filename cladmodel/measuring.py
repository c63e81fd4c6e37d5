"""What every command does with a built model: measure it, and read its cutting plan against it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cladmodel.build import Planned
    from cladmodel.checks.finding import Finding
    from cladmodel.model import Model
    from cladmodel.scene.job import Scene
    from cladmodel.schedules.cutplan import CutSheet


def measure(scene: Scene, model: Model) -> tuple[Finding, ...]:
    """Run every check on a scene's model.

    Parameters
    ----------
    scene : Scene
    model : Model
    """
    from cladmodel.build import exposure_of, rules_of
    from cladmodel.checks.run import run_checks

    return run_checks(model, rules_of(scene), exposure_of(scene))


def plan_of(scene: Scene, planned: Planned) -> CutSheet | None:
    """Cutting plan of a planned model, read against its solids; None where joints were chosen quickly.

    Parameters
    ----------
    scene : Scene
    planned : Planned
    """
    from cladmodel.schedules.planned import cutting_plan

    if planned.layout is None:
        return None
    cutting = scene.cutting
    return cutting_plan(
        planned.model,
        planned.layout,
        prices=dict(zip(scene.board.stock, cutting.prices, strict=True)) if cutting.prices else None,
        rejected=cutting.reject_percent / 100,
        sure=cutting.sure_percent / 100,
    )

"""Every check, in order."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from cladmodel.checks import (
    air,
    board_facts,
    cavity,
    clashes,
    clearance,
    concealed,
    contact,
    fixings,
    joints,
    lap,
    moisture,
    nails,
    noses,
    slivers,
    solids,
    tilt,
    wind,
)
from cladmodel.checks.exposure import Exposure
from cladmodel.checks.finding import Finding
from cladmodel.checks.moved import moved_model
from cladmodel.checks.rules import Rules
from cladmodel.model import Model

Check = Callable[[Model, Rules], Iterator[Finding]]

CHECKS: dict[str, Check] = {
    solids.NAME: solids.check_solids,
    lap.NAME: lap.check_lap,
    tilt.NAME: tilt.check_tilt,
    contact.NAME: contact.check_contact,
    cavity.NAME: cavity.check_cavity,
    joints.NAME: joints.check_joints,
    nails.NAME: nails.check_nails,
    noses.NAME: noses.check_noses,
    slivers.NAME: slivers.check_slivers,
    concealed.NAME: concealed.check_concealed,
    clashes.NAME: clashes.check_clashes,
    clearance.NAME: clearance.check_clearance,
}
"""Name and function of every check of the solids alone; a new one is added here."""

LASTING: dict[str, Callable[[Model, Rules, Exposure], Iterator[Finding]]] = {
    air.NAME: air.check_air,
    moisture.NAME: moisture.check_moisture,
    wind.NAME: wind.check_wind,
    fixings.NAME: fixings.check_fixings,
    board_facts.NAME: board_facts.check_board_facts,
}
"""Name and function of every check that also wants to know what the wall is up against."""


def run_checks(model: Model, rules: Rules, exposure: Exposure | None = None) -> tuple[Finding, ...]:
    """Measure a model by every check.

    Parameters
    ----------
    model : Model
    rules : Rules
    exposure : Exposure, optional
        Left out, only the checks of the solids alone are run.

    Returns
    -------
    tuple of Finding
        In the order of `CHECKS`, then of `LASTING`; at least one for each that applies.
    """
    found = [finding for check in CHECKS.values() for finding in check(model, rules)]
    if exposure is not None:
        found += [f for check in LASTING.values() for f in check(model, rules, exposure)]
        found += _at_driest_and_wettest(model, rules, exposure)
    return tuple(found)


PRESSED = (contact.NAME, clashes.NAME)
"""Not run on swollen solids: swollen boards press on each other and on their battens, and give."""


def _at_driest_and_wettest(model: Model, rules: Rules, exposure: Exposure) -> Iterator[Finding]:
    """Run the checks of the solids on the wall rebuilt with its boards shrunk and swollen.

    Each finding's check is named with the state, as in ``lap at its driest``. Dried boards may stand
    off by `Exposure.dry_gap`, step by `Exposure.dry_level` and lap by no less than `Exposure.dry_lap`.
    """
    given = exposure.climate, exposure.species, exposure.fixing_moisture
    climate, species, moisture_then = given
    if climate is None or species is None or moisture_then is None:
        return
    dry, wet = moisture.states(climate, species, exposure.sawn, moisture_then)
    dried = replace(
        rules,
        contact=exposure.dry_gap,
        packing=exposure.dry_gap,
        level=exposure.dry_level,
        lap=exposure.dry_lap,
    )
    # The clearance asked for as hung is room to swell: once swollen, some of it is used up.
    swollen = replace(rules, lap=exposure.dry_lap, nail_clearance=exposure.wet_clearance)
    for state in (dry, wet):
        # Boards hung very dry are swollen even at their driest, those hung very wet shrunk at their wettest.
        limits, left_out = (swollen, PRESSED) if state.across > 0 else (dried, ())
        moved = moved_model(model, state.across, state.through)
        for name, check in CHECKS.items():
            if name not in left_out:
                for finding in check(moved, limits):
                    yield replace(finding, check=f"{name} at its {state.name}")

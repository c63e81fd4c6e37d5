"""Every check, in order."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cladmodel.checks import (
    cavity,
    clashes,
    clearance,
    concealed,
    contact,
    joints,
    lap,
    nails,
    noses,
    slivers,
    solids,
    tilt,
)
from cladmodel.checks.finding import Finding
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
"""Name and function of every check; a new one is added here."""


def run_checks(model: Model, rules: Rules) -> tuple[Finding, ...]:
    """Measure a model by every check.

    Parameters
    ----------
    model : Model
    rules : Rules

    Returns
    -------
    tuple of Finding
        In the order of `CHECKS`; at least one for each that applies.
    """
    return tuple(finding for check in CHECKS.values() for finding in check(model, rules))

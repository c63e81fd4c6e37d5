"""An exposure with everything given, for tests to take things away from."""

from cladmodel.checks.exposure import Drilled, Exposure, Heart, Mesh, WindInputs
from cladmodel.checks.finding import Verdict
from cladmodel.standards.climate import CLIMATES
from cladmodel.standards.nails import TIMBERS
from cladmodel.standards.species import SPECIES
from cladmodel.standards.wind import TERRAINS

FULL = Exposure(
    climate=CLIMATES["temperate"],
    species=SPECIES["Sitka spruce"],
    fixing_moisture=16.0,
    treated=False,
    board_timber=TIMBERS["C16"],
    batten_timber=TIMBERS["C24"],
    drilled=Drilled.ALL,
    heart=Heart.OUT,
    cut_ends_treated=True,
    mesh=Mesh(aperture=3.0),
    wind=WindInputs(velocity=21.0, terrain=TERRAINS["III"], height=2.8, breadth=2.4),
    f_ax=6.0,
    f_head=20.0,
)


def of(findings, verdict):
    return [f for f in findings if f.verdict is Verdict(verdict)]


def verdicts(findings):
    return {f.verdict for f in findings}

"""Which metal suits which timber: acids in some species, and copper in treated wood, eat steel and zinc."""

from __future__ import annotations

from cladmodel.checks.finding import Verdict
from cladmodel.standards.sources import Source, Standing
from cladmodel.standards.species import Species

TREATED = Source(name="copper in treated timber eats zinc", standing=Standing.MEMORY)
OUTDOORS = Source(name="uncoated steel rusts and streaks outdoors", standing=Standing.COMMON)

RESISTANT = ("stainless", "bronze", "copper", "a2", "a4", "austenitic")
"""Words in a material's name that stand for metals which nothing in timber attacks."""

COATED = ("galvan", "zinc", "sherard", "coated", "plated")
"""Words that stand for steel under a coat."""


def judge(material: str, species: Species, *, treated: bool) -> tuple[Verdict, str, str]:
    """Judge a fixing's metal against the timber it is in.

    Parameters
    ----------
    material : str
        As named in the scene.
    species : Species
    treated : bool
        Whether the timber is preservative treated.

    Returns
    -------
    verdict : Verdict
    why : str
        Half a sentence.
    basis : str
    """
    words = material.lower()
    if any(word in words for word in RESISTANT):
        return Verdict.OK, f"{material} is not attacked", species.acidity.basis
    if not any(word in words for word in COATED):
        return Verdict.FAIL, "bare steel rusts outdoors and streaks the boards", OUTDOORS.basis
    if species.acidic:
        return (
            Verdict.FAIL,
            f"the acids of {species.name} eat through the coat and stain",
            species.acidity.basis,
        )
    if treated:
        return (
            Verdict.CAUTION,
            "treated timber wants stainless, or a coat made for it",
            TREATED.basis,
        )
    return Verdict.OK, f"{material} serves in untreated timber that is not acidic", species.acidity.basis

"""Where a number comes from and how well that is known, so that every output can say so."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from cladmodel.errors import CladmodelError


class Standing(StrEnum):
    """How a value got here."""

    FOUND = "found"
    SECOND_HAND = "found second-hand"
    MEMORY = "from memory"
    ASSUMED = "an assumption"
    COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A published standard, handbook or page, and the place in it.

    Attributes
    ----------
    name : str
        Such as ``EN 1995-1-1``; for what has no source, what it is.
    edition : str
        Year or edition; empty when there is none.
    place : str
        Clause, equation, table or page; empty when there is none.
    standing : Standing
        `FOUND` only for what was read in a public text by its own publisher or a page quoting it in full.
    note : str
        A doubt, or what a stand-in stands in for; empty when there is none.
    """

    name: str
    edition: str = ""
    place: str = ""
    standing: Standing
    note: str = ""

    @property
    def citation(self) -> str:
        """Name, edition and place."""
        name = f"{self.name}:{self.edition}" if self.edition else self.name
        return f"{name} {self.place}".strip()

    @property
    def basis(self) -> str:
        """One line for an output: the citation and, unless it was simply found, how it got here.

        Examples
        --------
        >>> Source(name="EN 1995-1-1", place="8.3.2(8)", standing=Standing.MEMORY).basis
        'from memory: EN 1995-1-1 8.3.2(8)'
        """
        if self.standing in (Standing.MEMORY, Standing.ASSUMED):
            text = f"{self.standing}: {self.citation}"
        elif self.standing is Standing.FOUND:
            text = self.citation
        else:
            text = f"{self.citation}, {self.standing}"
        return f"{text} ({self.note})" if self.note else text


class OutsideStandardError(CladmodelError):
    """A value for which a published formula says nothing; the message names the value and what is covered."""


def basis_of(*sources: Source) -> str:
    """One line naming several sources, each once.

    Parameters
    ----------
    *sources : Source
    """
    return "; ".join(dict.fromkeys(source.basis for source in sources))

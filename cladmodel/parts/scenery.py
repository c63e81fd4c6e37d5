"""Pieces of surroundings, lifted together; pictures only."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

import shapely

from cladmodel.model import Floats, Kind, Part
from cladmodel.solids.plates import Plate, frame, lift


@dataclass(slots=True)
class Pile:
    """Plates waiting to be lifted together, with the part each becomes.

    Attributes
    ----------
    wall : str
        Name of the wall in whose axes they are.
    plates : list of Plate
    labels : list of (mark, material, section)
        Of the part that each plate becomes.
    counts : Counter
        Parts of each name so far, for their marks.
    """

    wall: str
    plates: list[Plate] = field(default_factory=list)
    labels: list[tuple[str, str, str]] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)

    def plate(self, name: str, material: str, plate: Plate, section: str = "") -> None:
        """Add one plate."""
        self.counts[name] += 1
        self.plates.append(plate)
        self.labels.append((f"~{name}{self.counts[name]}", material, section))

    def box(
        self,
        name: str,
        material: str,
        x: tuple[float, float],
        y: tuple[float, float],
        z: tuple[float, float],
        section: str = "",
    ) -> None:
        """Add a box, given by its limits in wall axes."""
        face = shapely.box(x[0], y[0], x[1], y[1])
        placed = frame((0.0, 0.0, z[0]), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
        self.plate(name, material, Plate(polygon=face, thickness=z[1] - z[0], frame=placed), section)

    def profile(
        self,
        name: str,
        material: str,
        outline: shapely.Polygon,
        span: tuple[float, float],
        placed: Floats,
        section: str = "",
    ) -> None:
        """Add a section run along the third axis of `placed` from span[0] to span[1]."""
        shifted = placed.copy()
        shifted[:, 3] += span[0] * placed[:, 2]
        self.plate(
            name, material, Plate(polygon=outline, thickness=span[1] - span[0], frame=shifted), section
        )

    def parts(self) -> list[Part]:
        """Lift everything."""
        return [
            Part(
                mark=mark,
                kind=Kind.SCENERY,
                wall=self.wall,
                vertices=solid.vertices,
                faces=solid.faces,
                material=material,
                section=section,
            )
            for (mark, material, section), solid in zip(self.labels, lift(self.plates), strict=True)
        ]

"""Everything that is handed round on paper, in one document."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from cladmodel.checks.finding import WORST_FIRST, Finding, Verdict
from cladmodel.drawings.corner import corner_sheets
from cladmodel.drawings.cut_diagrams import cut_diagram_pages
from cladmodel.drawings.details import detail_sheets
from cladmodel.drawings.elevation import elevation_sheet
from cladmodel.drawings.page import table_pages
from cladmodel.drawings.primitives import Sheet
from cladmodel.drawings.rod import rod_pages
from cladmodel.drawings.section import section_sheet
from cladmodel.drawings.tables import Table
from cladmodel.drawings.view import figure
from cladmodel.model import Model
from cladmodel.schedules.building_rod import building_rod, corner_levels
from cladmodel.schedules.cautions import CAUTIONS, HEADING, MODEL_ONLY
from cladmodel.schedules.cutplan import CutSheet
from cladmodel.schedules.tables import (
    Cell,
    Column,
    Listing,
    cut_listing,
    fixing_listing,
    order_listing,
    post_listing,
    quantity_listing,
    stop_listing,
)

_SHOWN = 6
"""Findings of one check written out; more are counted."""


def drawing_sheets(model: Model) -> tuple[tuple[str, Sheet], ...]:
    """Every A3 drawing of a job with a short name for its file.

    Parameters
    ----------
    model : Model
    """
    several = len(model.walls) > 1
    found: list[tuple[str, Sheet]] = []
    for wall in model.walls:
        tail = f"-{_for_files(wall.name)}" if several else ""
        found.append((f"elevation{tail}", elevation_sheet(model, wall.name)))
        found.append((f"section{tail}", section_sheet(model, wall.name)))
    for kind, sheets in (("details", detail_sheets(model)), ("corner", corner_sheets(model))):
        for n, sheet in enumerate(sheets, start=1):
            found.append((f"{kind}-{n}" if len(sheets) > 1 else kind, sheet))
    return tuple(_distinct(found))


def _for_files(name: str) -> str:
    """A wall's name without what a file's name must not hold."""
    return re.sub(r"[^\w]+", "-", name).strip("-") or "wall"


def _distinct(found: Iterable[tuple[str, Sheet]]) -> Iterator[tuple[str, Sheet]]:
    """Walls whose names differ only in such letters are numbered; no number makes one the name of another."""
    taken: set[str] = set()
    for name, sheet in found:
        given, number = name, 1
        while given.casefold() in taken:
            number += 1
            given = f"{name}-{number}"
        taken.add(given.casefold())
        yield given, sheet


def sheets(
    model: Model,
    findings: Sequence[Finding],
    plan: CutSheet | None = None,
    drawings: Sequence[Sheet] | None = None,
) -> tuple[Sheet, ...]:
    """All sheets of a job: A3 drawings first, then the A4 pages for the bench and the merchant.

    Parameters
    ----------
    model : Model
    findings : sequence of Finding
        From `cladmodel.checks.run.run_checks`.
    plan : CutSheet, optional
        Without it there are no cut diagrams, and boards are ordered by the metre.
    drawings : sequence of Sheet, optional
        Of `drawing_sheets`, if they are made already.
    """
    title = model.title
    found = [sheet for _, sheet in drawing_sheets(model)] if drawings is None else list(drawings)
    found += rod_pages(model)
    found += table_pages(title, "Rod", _rod_tables(model))
    found += table_pages(title, "Order", [_table(order_listing(model, plan))])
    if plan is not None:
        found += cut_diagram_pages(plan, title)
    found += table_pages(title, "Cut list", [_table(stop_listing(model)), *_cut_tables(model)])
    quantities = [quantity_listing(model), fixing_listing(model), post_listing(model)]
    found += table_pages(title, "Quantities", [_table(one) for one in quantities])
    found += table_pages(title, "Checks and cautions", _check_tables(model, findings))
    return tuple(found)


def _table(listing: Listing) -> Table:
    """A schedule as it is set on paper: its figures as a carpenter writes them."""
    return Table(
        title=listing.title,
        headings=tuple(_heading(column) for column in listing.columns),
        rows=tuple(
            tuple(_written(cell, column) for cell, column in zip(row, listing.columns, strict=True))
            for row in listing.rows
        ),
    )


def _heading(column: Column) -> str:
    return column.heading if column.unit in ("", "mm") else f"{column.heading}, {column.unit}"


def _written(cell: Cell, column: Column) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return figure(cell) if column.places == 1 else f"{cell:.{column.places}f}"
    return str(cell)


def _rod_tables(model: Model) -> list[Table]:
    lines = building_rod(model)
    highest = max((wall.head + float(wall.frame[1, 3]) for wall in model.walls), default=0.0)
    everywhere = len(model.walls)
    rows = [
        (
            f"{line.course}",
            figure(line.height),
            figure(highest - line.height),
            "" if line.gauge is None else figure(line.gauge),
            "all" if len(line.walls) == everywhere else ", ".join(line.walls),
        )
        for line in reversed(lines)
    ]
    tables = [
        Table(
            title=f"Rod round the building; highest soffit {figure(highest)} above 0",
            headings=("course", "above 0", "below highest soffit", "gauge", "walls"),
            rows=tuple(rows),
        )
    ]
    levels = [
        (
            level.corner,
            f"{level.compared}",
            "" if level.difference is None else f"{level.difference:.3f}",
        )
        for level in corner_levels(model)
    ]
    tables.append(
        Table(
            title="Level of the courses at the corners, measured on the boards",
            headings=("corner", "courses compared", "most difference"),
            rows=tuple(levels),
        )
    )
    return tables


def _cut_tables(model: Model) -> list[Table]:
    """The cut list wall by wall, without the wall's name in every row."""
    listing = cut_listing(model)
    return [
        _table(
            Listing(
                name=listing.name,
                title=f"Wall {wall.name}, course by course; measured from each board's left end",
                columns=listing.columns[1:],
                rows=tuple(row[1:] for row in listing.rows if row[0] == wall.name),
            )
        )
        for wall in model.walls
    ]


def _check_tables(model: Model, findings: Sequence[Finding]) -> list[Table]:
    kept = _worst_first(findings)
    # Walls that are alike are found alike: each sentence once.
    rows = dict.fromkeys((_plain(f.check), _plain(f.verdict), f.text) for f in kept)
    remedies = dict.fromkeys((_plain(f.check), f.remedy) for f in kept if f.remedy)
    return [
        Table(title="Checks", headings=("check", "verdict", "what was measured"), rows=tuple(rows)),
        Table(title="What to do", headings=("check", "what to do"), rows=tuple(remedies)),
        Table(
            title="Notes from the setting-out",
            headings=("note",),
            rows=tuple((note,) for note in model.notes),
        ),
        Table(
            title=f"{HEADING}. {MODEL_ONLY}",
            headings=("mind", "why"),
            rows=CAUTIONS,
        ),
    ]


def _plain(word: str) -> str:
    return str(word).replace("_", " ")


def _worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Findings by verdict, then check; at most so many of one check and verdict."""
    ordered = sorted(findings, key=lambda finding: WORST_FIRST.index(finding.verdict))
    kept: list[Finding] = []
    counted: dict[tuple[str, Verdict], int] = {}
    for finding in ordered:
        key = (finding.check, finding.verdict)
        counted[key] = counted.get(key, 0) + 1
        if counted[key] <= (1 if finding.verdict is Verdict.OK else _SHOWN):
            kept.append(finding)
    return kept

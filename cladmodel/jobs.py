"""Whole jobs: everything that one command does, step by step, without printing."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cladmodel.errors import OutputError, PictureError
from cladmodel.folders.manifest import MANIFEST
from cladmodel.folders.whole import staged
from cladmodel.looks import finish_of
from cladmodel.measuring import measure, plan_of
from cladmodel.showing import Say

if TYPE_CHECKING:
    from cladmodel.checks.finding import Finding
    from cladmodel.model import Model
    from cladmodel.scene.job import Scene
    from cladmodel.schedules.cutplan import CutSheet


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """What a job came to.

    Attributes
    ----------
    model : Model
    findings : tuple of Finding
    written : tuple of Path
    missing : tuple of str
        Pictures that could not be drawn, or the page, each with what to install.
    """

    model: Model
    findings: tuple[Finding, ...]
    written: tuple[Path, ...]
    missing: tuple[str, ...]


def check(path: Path) -> Outcome:
    """Build a scene and measure it.

    Parameters
    ----------
    path : Path

    Returns
    -------
    Outcome
        Nothing is written.

    Raises
    ------
    SceneError, SettingOutError, SolidError
        If the scene cannot be built.
    """
    from cladmodel.build import build_planned, load_scene

    scene = load_scene(path)
    finish_of(scene)  # refused before anything is built
    model = build_planned(scene).model
    return Outcome(model=model, findings=measure(scene, model), written=(), missing=())


def build(path: Path, out: Path, *, pictures: bool, say: Say) -> Outcome:
    """Do the main job: everything about one scene into one folder.

    The folder holds the whole old set or the whole new one, also when the job fails or is killed; see
    `folders.whole.staged`.

    Parameters
    ----------
    path : Path
        Scene file.
    out : Path
        Folder; made if it is not there.
    pictures : bool
        Whether to draw preview.png and layers.png.
    say : callable
        Told each step as it begins.

    Returns
    -------
    Outcome

    Raises
    ------
    SceneError, SettingOutError, SolidError
        If the scene cannot be built.
    OutputError
        If the folder cannot be written.
    """
    from cladmodel.build import build_planned, load_scene

    say("reading the scene")
    scene = load_scene(path)
    finish_of(scene)  # refused before anything is built
    with staged(out) as stage:
        say("setting out and making the solids")
        planned = build_planned(scene)
        model = planned.model
        say("measuring")
        findings = measure(scene, model)
        say("writing the model")
        _write_model(scene, model, stage)
        say("drawing the sheets")
        plan = plan_of(scene, planned)
        _write_drawings(model, findings, plan, stage)
        missing = _write_pictures(scene, model, stage, say) if pictures else ()
        say("writing the report and the page")
        table = _write_report(scene, model, findings, plan, stage)
        missing += _write_page(scene, model, table, plan, stage)
        names = [str(file.relative_to(stage)) for file in stage.rglob("*") if file.is_file()]
        say("putting it in place")
    written = tuple(out / name for name in sorted((*names, MANIFEST)))
    return Outcome(model=model, findings=findings, written=written, missing=missing)


def _write_model(scene: Scene, model: Model, folder: Path) -> None:
    from cladmodel.exports.formats import export
    from cladmodel.looks import export_looks

    looks = export_looks(scene)
    for name in ("model.glb", "model.stl"):
        export(model, folder / name, finish_colours=looks[0].colours, finishes=looks)


def _write_drawings(model: Model, findings: tuple[Finding, ...], plan: CutSheet | None, folder: Path) -> None:
    """All sheets as one document; every drawing by itself in drawings/, every schedule in schedules/."""
    from cladmodel.drawings.dxf import write_dxf
    from cladmodel.drawings.pdf import write_pdf
    from cladmodel.drawings.png import write_png
    from cladmodel.drawings.sheets import drawing_sheets, sheets
    from cladmodel.drawings.svg import write_svg
    from cladmodel.schedules.spreadsheet import csv_text, xlsx_bytes
    from cladmodel.schedules.tables import listings

    drawings = drawing_sheets(model)
    single, tables = folder / "drawings", folder / "schedules"
    single.mkdir()
    tables.mkdir()
    for name, sheet in drawings:
        write_svg(sheet, single / f"{name}.svg")
        write_dxf(sheet, single / f"{name}.dxf")
        if name.startswith(("section", "elevation")):
            write_png(sheet, folder / f"{name}.png")
    write_pdf(
        sheets(model, findings, plan, [sheet for _, sheet in drawings]), model.title, folder / "sheets.pdf"
    )
    schedules = listings(model, plan)
    (folder / "schedules.xlsx").write_bytes(xlsx_bytes(schedules, model.title))
    for listing in schedules:
        (tables / f"{listing.name}.csv").write_text(csv_text(listing), encoding="utf-8", newline="")


def _write_pictures(scene: Scene, model: Model, folder: Path, say: Say) -> tuple[str, ...]:
    from cladmodel.showing import draw_layers, draw_preview

    missing = []
    for name, step in (("preview.png", draw_preview), ("layers.png", draw_layers)):
        say(f"drawing {name}")
        try:
            step(scene, model, folder / name)
        except PictureError as error:
            missing.append(f"{name}: {error}")
    return tuple(missing)


def _write_report(
    scene: Scene,
    model: Model,
    findings: tuple[Finding, ...],
    plan: CutSheet | None,
    folder: Path,
) -> dict[str, Any]:
    from cladmodel.build import rules_of
    from cladmodel.schedules.report import report, report_markdown

    table = report(model, findings, rules_of(scene), plan)
    text = json.dumps(table, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    (folder / "report.json").write_text(text, encoding="utf-8")
    (folder / "report.md").write_text(report_markdown(table), encoding="utf-8")
    return table


def _write_page(
    scene: Scene, model: Model, table: dict[str, Any], plan: CutSheet | None, folder: Path
) -> tuple[str, ...]:
    """The client's page beside the pictures, with the preview as its poster."""
    from cladmodel.page.bundle import load_bundle
    from cladmodel.showing import page_bytes

    try:
        load_bundle()
    except OutputError as error:
        return (f"page.html: {error}",)
    preview = folder / "preview.png"
    poster = preview.read_bytes() if preview.exists() else None
    (folder / "page.html").write_bytes(page_bytes(scene, model, table, plan, poster))
    return ()


def new(file: Path) -> None:
    """Write a commented scene to start from.

    Parameters
    ----------
    file : Path
        TOML to write; an existing file is not touched.

    Raises
    ------
    OutputError
        If the file is there already or cannot be written.
    """
    from cladmodel.folders.one_file import write_whole
    from cladmodel.scene.schema import commented_scene

    if os.path.lexists(file):  # of a name too long for any file, too
        raise OutputError(f"{file}: is there already. Name another file or move it away.")
    write_whole(file, commented_scene(file.name).encode())

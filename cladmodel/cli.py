"""The command: parse, call, print; the only exit codes. 0 sound, 1 something fails, 2 cannot be built."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from cladmodel.errors import CladmodelError, PictureError, SceneError

if TYPE_CHECKING:
    from cladmodel.jobs import Outcome

SOUND, FAILS, CANNOT = 0, 1, 2
TRACEBACK = "CLADMODEL_TRACEBACK"

app = typer.Typer(
    name="cladmodel",
    help="One job description in; an exact, measured 3D model of a clad timber-frame wall out.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

SceneFile = Annotated[Path, typer.Argument(metavar="SCENE", help="Job description, a .toml file.")]


@app.command()
def build(
    scene: SceneFile,
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder for everything that is made.")] = Path(
        "out"
    ),
    pictures: Annotated[bool, typer.Option(help="Draw preview.png and layers.png.")] = True,
) -> None:
    """Build SCENE: model, pictures, section and report into one folder."""
    from cladmodel import jobs

    with _Steps() as steps:
        outcome = jobs.build(scene, out, pictures=pictures, say=steps.say)
    for line in outcome.missing:
        print(f"not drawn: {line}", file=sys.stderr)
    for path in outcome.written:
        print(path)
    _close(outcome)


@app.command()
def check(
    scene: Annotated[
        Path | None, typer.Argument(metavar="SCENE", help="Job description, a .toml file.")
    ] = None,
    all_of_them: Annotated[bool, typer.Option("--all", help="Also show what is sound.")] = False,
    explain: Annotated[str, typer.Option(metavar="NAME", help="Say what one check measures, and how.")] = "",
) -> None:
    """Build SCENE, measure it and say what is wrong. Nothing is written."""
    from cladmodel import jobs

    if explain:
        _explain(explain)
        return
    if scene is None:
        print("cannot be built: name a scene, a .toml file; cladmodel new FILE writes one", file=sys.stderr)
        raise typer.Exit(CANNOT)
    outcome = jobs.check(scene)
    _close(outcome, sound_too=all_of_them)


def _explain(name: str) -> None:
    from cladmodel.checks.explain import EXPLANATIONS

    found = EXPLANATIONS.get(name)
    if found is None:
        print(f"no check is called {name!r}; there are: {', '.join(EXPLANATIONS)}", file=sys.stderr)
        raise typer.Exit(CANNOT)
    print(
        f"{name}\n  measures  {found.measures}\n  how       {found.how}\n  formula   {found.formula}\n"
        f"  source    {found.source}\n  to do     {found.remedy}"
    )


@app.command()
def render(
    scene: SceneFile,
    picture: Annotated[Path, typer.Argument(metavar="PICTURE", help="The .png to write; .gif for a turn.")],
    view: Annotated[
        str,
        typer.Option(
            metavar="NAME",
            help="As 'south left', or layers, cut, turn, or a camera by numbers; a wrong name lists all.",
        ),
    ] = "",
    finish: Annotated[
        str, typer.Option(metavar="NAMES", help="Instead of the scene's; several, by commas, are compared.")
    ] = "",
    light: Annotated[
        str,
        typer.Option(metavar="WORD", help="morning, noon, 'low evening', overcast; or LAT,LON,DATE,HOUR."),
    ] = "",
    coloured_by: Annotated[
        str, typer.Option(metavar="FIGURE", help="Boards coloured by lap, tilt or 'nail use'.")
    ] = "",
    size: Annotated[str, typer.Option(metavar="WxH", help="In pixels.")] = "1600x1000",
    quick: Annotated[bool, typer.Option("--quick", help="Rougher, for looking while choosing.")] = False,
    transparent: Annotated[bool, typer.Option("--transparent", help="No sky and no lawn.")] = False,
    dated: Annotated[str, typer.Option(metavar="DATE", help="For the caption.")] = "",
) -> None:
    """Draw one picture of SCENE."""
    from cladmodel import showing

    shot = showing.Shot(
        view=view,
        finishes=tuple(name.strip() for name in finish.split(",") if name.strip()),
        light=light,
        coloured_by=coloured_by,
        size=_pixels(size),
        quick=quick,
        transparent=transparent,
        dated=dated,
    )
    with _Steps() as steps:
        steps.say("drawing")
        showing.render(scene, picture, shot)
    print(picture)


def _pixels(size: str) -> tuple[int, int]:
    from cladmodel.errors import OutputError

    wide, _, high = size.lower().partition("x")
    if not (wide.isdecimal() and high.isdecimal()):
        raise OutputError(f"size = {size!r}: write it as 1600x1000")
    return int(wide), int(high)


@app.command()
def export(
    scene: SceneFile,
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="Its ending says the format: .glb .stl .3mf .usdz .ifc")
    ],
    print_scale: Annotated[
        float | None, typer.Option(metavar="SCALE", help="One printable solid, as 0.05 for 1:20; .stl")
    ] = None,
    split: Annotated[str, typer.Option(metavar="BY", help="One STL for each of layers or pieces; .zip")] = "",
) -> None:
    """Write SCENE's model to FILE in the format of its ending."""
    from cladmodel import showing

    showing.export(scene, file, print_scale=print_scale, split=split)
    print(file)


@app.command()
def page(
    scene: SceneFile,
    out: Annotated[Path, typer.Option("--out", "-o", help="The .html to write.")] = Path("page.html"),
) -> None:
    """Write the client's page of SCENE: one file that opens offline, on a phone too."""
    from cladmodel import showing

    with _Steps() as steps:
        showing.page(scene, out, steps.say)
    print(out)


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The .toml to write.")],
) -> None:
    """Write a commented scene to start from."""
    from cladmodel import jobs

    jobs.new(file)
    print(file)


@app.command()
def schema() -> None:
    """Print the scene's JSON Schema, for editors that complete and check TOML."""
    from cladmodel.scene.schema import json_schema

    print(json_schema(), end="")


class _Steps:
    """Progress on a terminal: one line that changes; nothing when the output goes to a file."""

    def __enter__(self) -> _Steps:
        from rich.console import Console

        self._console = Console(stderr=True)
        self._status = self._console.status("starting")
        if self._console.is_terminal:
            self._status.start()
        return self

    def say(self, step: str) -> None:
        """Show what is being done."""
        self._status.update(step)

    def __exit__(self, *_: object) -> None:
        self._status.stop()


def _close(outcome: Outcome, *, sound_too: bool = False) -> None:
    from cladmodel.checks.finding import Verdict, verdict

    words = {
        Verdict.FAIL: "FAILS",
        Verdict.CAUTION: "caution",
        Verdict.OK: "sound",
        Verdict.NOT_ASSESSED: "not assessed",
    }
    for verdict_ in (Verdict.FAIL, Verdict.CAUTION, Verdict.NOT_ASSESSED, Verdict.OK):
        if verdict_ is Verdict.OK and not sound_too:
            continue
        lines = [
            f"{words[verdict_]}: {f.check}: {f.text.replace('not assessed: ', '')} {f.remedy}".rstrip()
            for f in outcome.findings
            if f.verdict is verdict_
        ]
        for line in dict.fromkeys(lines):  # what several walls say alike is said once
            print(line)
    for note in outcome.model.notes:
        print(f"note: {note}")
    overall = verdict(outcome.findings)
    counts = [
        f"{sum(f.verdict is v for f in outcome.findings)} {words[v]}"
        for v in (Verdict.FAIL, Verdict.CAUTION, Verdict.NOT_ASSESSED, Verdict.OK)
    ]
    print(f"{outcome.model.title}: {', '.join(counts)}")
    if overall is Verdict.FAIL:
        raise typer.Exit(FAILS)


def main() -> NoReturn:
    """Run the command; every error ends as one clear message and exit code 2."""
    try:
        app(standalone_mode=True)
    except SceneError as error:
        for problem in error.problems:
            print(f"cannot be built: {problem}", file=sys.stderr)
    except PictureError as error:
        print(f"not drawn: {error}", file=sys.stderr)
    except CladmodelError as error:
        print(f"cannot be built: {error}", file=sys.stderr)
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
    except Exception as error:
        if os.environ.get(TRACEBACK):
            raise
        print(
            f"cladmodel itself failed ({type(error).__name__}: {error}). Nothing was written. "
            f"Please report it with the scene; {TRACEBACK}=1 shows where.",
            file=sys.stderr,
        )
    sys.exit(CANNOT)

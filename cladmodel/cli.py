"""The command: parse, call, print; the only exit codes. 0 sound, 1 something fails, 2 cannot be built."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from cladmodel.errors import CladmodelError, SceneError

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
    picture: Annotated[Path, typer.Argument(metavar="PICTURE", help="The .png to write.")],
    layers: Annotated[bool, typer.Option("--layers", help="The wall peeled back instead.")] = False,
) -> None:
    """Draw one picture of SCENE."""
    from cladmodel import jobs

    with _Steps() as steps:
        steps.say("drawing")
        jobs.render(scene, picture, layers=layers)
    print(picture)


@app.command()
def export(
    scene: SceneFile,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Its suffix says the format: .glb, .stl")],
) -> None:
    """Write SCENE's model to FILE in the format of its suffix."""
    from cladmodel import jobs

    jobs.export(scene, file)
    print(file)


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

"""The command: parse, call, print; the only exit codes. 0 sound, 1 something fails, 2 cannot be built."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn, TextIO

import typer

from cladmodel.errors import CladmodelError, readable
from cladmodel.telling import TRACEBACK, problem_lines

if TYPE_CHECKING:
    from cladmodel.jobs import Outcome
    from cladmodel.many import Job

SOUND, FAILS, CANNOT = 0, 1, 2
STOPPED = 130  # by Ctrl-C, as shells have it
LONGEST_LINE = 900  # letters of a refusal, whatever it quotes
# What typer raises for a word that is no command or option; it has no public name of its own.
Misused = typer.BadParameter.__bases__[0]

app = typer.Typer(
    name="cladmodel",
    help="One job description in; an exact, measured 3D model of a clad timber-frame wall out.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

SceneFile = Annotated[Path, typer.Argument(metavar="SCENE", help="Job description, a .toml file.")]
SceneFiles = Annotated[
    list[Path] | None, typer.Argument(metavar="SCENE", help="Job descriptions, .toml files.")
]


def _at_once(words: str | int) -> int:
    """Read a number of scenes; typer hands over the default as the number it is."""
    if not str(words).isdecimal() or int(words) < 1:
        raise typer.BadParameter(f"{words}; say how many scenes to work on at once, a whole number from 1")
    return int(words)


AtOnce = Annotated[
    int,
    typer.Option(
        "--jobs",
        "-j",
        metavar="N",
        parser=_at_once,
        help="With several scenes: how many at once; never more than there are processors.",
    ),
]


@app.command()
def build(
    scenes: SceneFiles = None,
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder for everything that is made.")] = Path(
        "out"
    ),
    pictures: Annotated[bool, typer.Option(help="Draw preview.png and layers.png.")] = True,
    at_once: AtOnce = 1,
) -> None:
    """Build SCENE: model, pictures, section and report into one folder; several: a folder in it for each."""
    given = _named(scenes)
    if len(given) > 1:
        from cladmodel.many import jobs_for

        _run_many(jobs_for(given, out, pictures=pictures), at_once, tell_findings=False)
    from cladmodel import jobs
    from cladmodel.watching import Steps

    with Steps() as steps:
        outcome = jobs.build(given[0], out, pictures=pictures, say=steps.say)
    for line in outcome.missing:
        _tell(f"not drawn: {line}", file=sys.stderr)
    for path in outcome.written:
        _tell(path)
    _close(outcome)


@app.command()
def check(
    scenes: SceneFiles = None,
    all_of_them: Annotated[bool, typer.Option("--all", help="Also show what is sound.")] = False,
    explain: Annotated[str, typer.Option(metavar="NAME", help="Say what one check measures, and how.")] = "",
    at_once: AtOnce = 1,
) -> None:
    """Build SCENE, measure it and say what is wrong; several: each. Nothing is written."""
    if explain:
        _explain(explain)
        return
    given = _named(scenes)
    if len(given) > 1:
        from cladmodel.many import Job

        several = [Job(name=str(scene), scene=scene, sound_too=all_of_them) for scene in given]
        _run_many(several, at_once, tell_findings=True)
    from cladmodel import jobs

    _close(jobs.check(given[0]), sound_too=all_of_them)


def _named(scenes: list[Path] | None) -> list[Path]:
    """Refuse no scene at all, and a pattern that the shell handed on because nothing matches it."""
    from cladmodel.errors import OutputError

    if not scenes:
        raise OutputError("name a scene, a .toml file; cladmodel new FILE writes one")
    for scene in scenes:
        if set("*?[") & set(scene.name) and not os.path.lexists(scene):
            raise OutputError(f"{scene}: no file's name is like this pattern. Check it.")
    return scenes


def _explain(name: str) -> None:
    from cladmodel.checks.explain import EXPLANATIONS, thresholds_text
    from cladmodel.errors import OutputError

    found = EXPLANATIONS.get(name)
    if found is None:
        there = ", ".join(EXPLANATIONS)
        raise OutputError(f"no check is called {readable(repr(name), 60)}; there are: {there}")
    print(
        f"{name}\n  measures  {found.measures}\n  how       {found.how}\n  formula   {found.formula}\n"
        f"  source    {found.source}\n  to do     {found.remedy}"
    )
    for line in thresholds_text(name).splitlines():
        print(f"  limit     {line}")


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
    size: Annotated[
        str, typer.Option(metavar="WxH", help="In pixels; 1600x1000, a turn 640x400, unless told.")
    ] = "",
    quick: Annotated[bool, typer.Option("--quick", help="Rougher, for looking while choosing.")] = False,
    transparent: Annotated[bool, typer.Option("--transparent", help="No sky and no lawn.")] = False,
    dated: Annotated[str, typer.Option(metavar="DATE", help="For the caption.")] = "",
) -> None:
    """Draw one picture of SCENE."""
    from cladmodel import showing
    from cladmodel.watching import Steps

    shot = showing.Shot(
        view=view,
        finishes=tuple(name.strip() for name in finish.split(",") if name.strip()),
        light=light,
        coloured_by=coloured_by,
        size=_pixels(size) if size else None,
        quick=quick,
        transparent=transparent,
        dated=dated,
    )
    with Steps() as steps:
        steps.say("drawing")
        showing.render(scene, picture, shot)
    _tell(picture)


def _pixels(size: str) -> tuple[int, int]:
    from cladmodel.errors import OutputError

    wide, _, high = size.lower().partition("x")
    if not (wide.isdecimal() and high.isdecimal()):
        raise OutputError(f"size = {readable(repr(size), 60)}: write it as 1600x1000")
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
    _tell(file)


@app.command()
def page(
    scene: SceneFile,
    out: Annotated[Path, typer.Option("--out", "-o", help="The .html to write.")] = Path("page.html"),
) -> None:
    """Write the client's page of SCENE: one file that opens offline, on a phone too."""
    from cladmodel import showing
    from cladmodel.watching import Steps

    with Steps() as steps:
        showing.page(scene, out, steps.say)
    _tell(out)


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The .toml to write.")],
) -> None:
    """Write a commented scene to start from."""
    from cladmodel import jobs

    jobs.new(file)
    _tell(file)


@app.command()
def schema() -> None:
    """Print the scene's JSON Schema, for editors that complete and check TOML."""
    from cladmodel.scene.schema import json_schema

    print(json_schema(), end="")


def _tell(words: object, *, file: TextIO | None = None) -> None:
    """Print one line whatever a stranger wrote, also on a terminal that lacks some of its letters."""
    line, to = readable(str(words)), file or sys.stdout
    try:
        print(line, file=to)
    except UnicodeEncodeError:
        print(line.encode("ascii", "backslashreplace").decode(), file=to)


def _close(outcome: Outcome, *, sound_too: bool = False) -> None:
    from cladmodel.checks.finding import Verdict, verdict
    from cladmodel.telling import finding_lines, total

    for line in finding_lines(outcome, sound_too=sound_too):
        _tell(line)
    _tell(total(outcome))
    if verdict(outcome.findings) is Verdict.FAIL:
        raise typer.Exit(FAILS)


def _run_many(jobs: list[Job], at_once: int, *, tell_findings: bool) -> NoReturn:
    from cladmodel.many import cores, run_many
    from cladmodel.watching import LONGEST_NAME, ManySteps, summary_lines

    with ManySteps(len(jobs)) as steps:
        results = run_many(jobs, min(at_once, cores()), steps)
    for result in results:
        name = readable(result.job.name, LONGEST_NAME)
        for line in result.problems:
            _tell(readable(f"{name}: {line}", LONGEST_LINE), file=sys.stderr)
        for line in result.lines if tell_findings else ():
            _tell(f"{name}: {line}")
    for line in summary_lines(results):
        _tell(line)
    raise typer.Exit(max(result.ending.value for result in results))


def _misused(error: Exception) -> list[str]:
    """What was wrong with the words of a command, and how to see which there are."""
    context = getattr(error, "ctx", None)
    command = "cladmodel" if context is None else context.command_path
    said = readable(getattr(error, "format_message", error.__str__)(), LONGEST_LINE // 2)
    return [f"cannot be run: {said}{'' if said.endswith(('.', '?')) else '.'} See: {command} --help"]


def main() -> NoReturn:
    """Run the command; every error ends as one clear message and exit code 2."""
    try:
        code = app(sys.argv[1:] or ["--help"], standalone_mode=False) or SOUND
        if code == STOPPED:  # typer's own for Ctrl-C
            print("stopped", file=sys.stderr)
        sys.exit(code)
    except Exception as error:
        if os.environ.get(TRACEBACK) and not isinstance(error, CladmodelError | Misused):
            raise
        for line in _misused(error) if isinstance(error, Misused) else problem_lines(error):
            _tell(readable(line, LONGEST_LINE), file=sys.stderr)
    sys.exit(CANNOT)

"""One case through the real command, in this process, and what is to be said of how it ended."""

from __future__ import annotations

import contextlib
import io
import os
import random
import re
import sys
import time
import unicodedata
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from unittest import mock

from cladmodel import cli, jobs
from cladmodel.settingout.cutting.programs import Effort

from .case import Case

# Bounds that every run must keep, in processor time of one core. [s]
REFUSED_SECONDS = 5.0  # nothing is built: a person waits at the prompt
SEARCHED_SECONDS = 40.0  # refused by the search for joints and cuts, which gives up after half a minute
SEARCHED = ("was not settled in", "leave too few boards", "no batten leaves a joint")
BUILT_SECONDS = 15.0 + Effort().guard  # a small building, and the search for cuts, which its guard ends
WALL_SECONDS = 1.0  # more for each wall: it has two sheets of its own
PIECE_SECONDS = 0.02  # more for each piece beyond the first thousand: large sites take longer
MEGABYTES = 2_000  # peak memory of the process
# A refusal is read, not scrolled through.
MOST_LINES, LONGEST_LINE = 60, 1_000
REASONS = ("cannot be built: ", "cannot be run: ", "not drawn: ")
UNSEEN = ("Cc", "Cf", "Cs", "Zl", "Zp")  # Unicode's kinds of signs that are obeyed, not shown
JOINERS = "\u200c\u200d"  # of that kind, yet part of words
BUILDS_EVERY = 25  # one in so many is built, the others checked


class End(StrEnum):
    """How a run ended."""

    SOUND = "sound"
    FINDINGS = "findings"
    REFUSED = "refused"
    SLOW = "too slow"
    BIG = "too big"
    CRASHED = "crashed"

    @property
    def offends(self) -> bool:
        """Whether it breaks what is promised."""
        return self in (End.SLOW, End.BIG, End.CRASHED)


@dataclass(frozen=True, slots=True)
class Ran:
    """What came of one run.

    Attributes
    ----------
    end : End
    why : str
        What was promised and not kept; empty if nothing.
    code : int or None
        Exit code.
    out, err : str
    seconds : float
        Of processor time.
    pieces : int
        Of the model; 0 if none was built.
    megabytes : float
        Peak memory of this process, in this run where the system can tell, else so far.
    """

    end: End
    why: str
    code: int | None
    out: str
    err: str
    seconds: float
    pieces: int
    megabytes: float


def run_case(case: Case, folder: Path, rng: random.Random) -> Ran:
    """Run one case in an empty folder of its own.

    Parameters
    ----------
    case : Case
    folder : Path
        Empty.
    rng : random.Random
        Chooses whether the case is checked or built.
    """
    scene, out = laid(case, folder), folder / "out"
    words = case.words
    if not words and rng.random() < 1 / BUILDS_EVERY:
        words = ("build", "{scene}", "--out", "{out}", "--no-pictures")
        out.mkdir()
        (out / "report.md").write_text("the old report")
    words = words or ("check", "{scene}")
    given = {"{scene}": str(scene), "{out}": str(out), "{folder}": str(folder)}
    argv = []
    for word in words:
        for slot, path in given.items():
            word = word.replace(slot, path)
        argv.append(word)
    return judged(argv, folder)


def laid(case: Case, folder: Path) -> Path:
    """Put a case's scene file, or what stands in its place, into a folder."""
    scene = folder / "scene.toml"
    match case.place:
        case "folder":
            scene.mkdir()
        case "missing":
            pass
        case "loop":
            scene.symlink_to(scene)
        case "device":
            return Path("/dev/zero")
        case "link":
            (folder / "real.toml").write_bytes(case.data)
            scene.symlink_to(folder / "real.toml")
        case "odd name":
            scene = folder / os.fsdecode(b"\x1b[31m\xff\xe2\x80\xae\n$(x) '\".toml")
            scene.write_bytes(case.data)
        case _:
            scene.write_bytes(case.data)
            if case.place == "unreadable":
                scene.chmod(0)
    return scene


def judged(argv: list[str], folder: Path) -> Ran:
    """Run the command with some words in a folder, and judge it.

    Parameters
    ----------
    argv : list of str
        Without the command's own name.
    folder : Path
        Work folder; whatever is written must lie below it.
    """
    before = listing(folder)
    models: list[tuple[int, int]] = []
    with _spied(models), _as_on_a_terminal(folder, argv) as (out, err), _peak() as peak:
        started = time.process_time()
        code, crash = _ended()
        seconds = time.process_time() - started
    said, told = _text(out), _text(err)
    pieces, walls = max(models, default=(0, 0))
    after = listing(folder)
    changed = sorted(name for name in before.keys() | after.keys() if before.get(name) != after.get(name))
    end, why = _verdict(argv, code, crash, said, told, changed)
    built = BUILT_SECONDS + WALL_SECONDS * walls + PIECE_SECONDS * max(pieces - 1000, 0)
    refused = SEARCHED_SECONDS if any(words in told for words in SEARCHED) else REFUSED_SECONDS
    allowed = refused if code == cli.CANNOT else built
    if not end.offends and seconds > allowed:
        end, why = End.SLOW, f"{seconds:.1f} s; {allowed:.0f} s are allowed"
    if not end.offends and peak[0] > MEGABYTES:
        end, why = End.BIG, f"{peak[0]:.0f} MB; {MEGABYTES} MB are allowed"
    return Ran(end, why, code, said, told, seconds, pieces, peak[0])


def _ended() -> tuple[int | None, str]:
    """Exit code, and what got out that should not have."""
    try:
        cli.main()
    except SystemExit as stop:
        return (int(stop.code) if isinstance(stop.code, int) else 0), ""
    except MemoryError:
        raise
    except BaseException as error:
        return None, f"{type(error).__name__}: {error}"


def _verdict(
    argv: list[str], code: int | None, crash: str, out: str, err: str, changed: list[str]
) -> tuple[End, str]:
    why = crash or _broken_promise(argv, code, out, err, changed)
    if why:
        return End.CRASHED, why
    return {cli.SOUND: End.SOUND, cli.FAILS: End.FINDINGS, cli.CANNOT: End.REFUSED}[code or 0], ""


def _broken_promise(argv: list[str], code: int | None, out: str, err: str, changed: list[str]) -> str:
    """The first promise that a run did not keep; empty if it kept all."""
    lines = err.splitlines()
    both = out + err
    fails = any(line.startswith("FAILS: ") for line in out.splitlines())
    # Of several scenes each line begins with the scene's name.
    refusals = [line for line in lines if any(line.startswith(r) or f": {r}" in line for r in REASONS)]
    longest = max(map(len, lines), default=0)
    promises = (
        (code in (cli.SOUND, cli.FAILS, cli.CANNOT), f"exit code {code}"),
        ("itself failed" not in both and "Traceback" not in both, "cladmodel itself failed"),
        (unreadable(both) == "", f"signs that cannot be seen: {unreadable(both)!r}"),
        ("stopped" not in lines, "stopped"),
        (code != cli.FAILS or fails, "exit 1 without a finding"),
        (code != cli.SOUND or not fails, "exit 0 in spite of a finding"),
        (code != cli.CANNOT or bool(refusals), "refused without a reason"),
        (code == cli.CANNOT or not refusals, "a reason for a refusal, but none was"),
        (all(len(re.sub(r"^[^:]+: ", "", line)) > 12 for line in refusals), "a reason too short to help"),
        (len(lines) <= MOST_LINES, f"{len(lines)} lines"),
        (longest <= LONGEST_LINE, f"a line of {longest} letters"),
        (not changed or (code != cli.CANNOT and argv[0] != "check"), f"wrote {changed[:5]}"),
        (not [name for name in changed if ".cladmodel" in name], f"left {changed[:5]}"),
    )
    return next((said for kept, said in promises if not kept), "")


def unreadable(text: str) -> str:
    """Signs of a text that a terminal obeys instead of showing them, or that turn text about."""
    return "".join(
        sign for sign in text if unicodedata.category(sign) in UNSEEN and sign not in "\n" + JOINERS
    )


def listing(folder: Path) -> dict[str, tuple[int, int]]:
    """Everything below a folder, with size and time of change in nanoseconds."""
    found = {}
    for place, _, files in os.walk(folder):
        found[place] = (0, 0)
        for name in files:
            about = os.lstat(os.path.join(place, name))  # noqa: PTH118 - names may be no text
            found[f"{place}/{name}"] = (about.st_size, about.st_mtime_ns)
    return found


@contextlib.contextmanager
def _spied(models: list[tuple[int, int]]) -> Iterator[None]:
    """Count the pieces and walls of each model that a job comes to."""

    def counting(job):  # type: ignore[no-untyped-def]
        def call(*given, **named):  # type: ignore[no-untyped-def]
            outcome = job(*given, **named)
            models.append((len(outcome.model.parts), len(outcome.model.walls)))
            return outcome

        return call

    with (
        mock.patch.object(jobs, "check", counting(jobs.check)),
        mock.patch.object(jobs, "build", counting(jobs.build)),
    ):
        yield


@contextlib.contextmanager
def _as_on_a_terminal(folder: Path, argv: list[str]) -> Iterator[tuple[io.TextIOWrapper, io.TextIOWrapper]]:
    """Words, work folder and streams as a shell gives them: text that is not UTF-8 cannot be printed."""
    out = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors="strict")
    err = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors="backslashreplace")
    here = Path.cwd()
    os.chdir(folder)
    try:
        with (
            mock.patch.object(sys, "argv", ["cladmodel", *argv]),
            mock.patch.object(sys, "stdout", out),
            mock.patch.object(sys, "stderr", err),
            warnings.catch_warnings(),
        ):
            warnings.simplefilter("default")  # a warning is a line on the terminal, and judged as one
            yield out, err
    finally:
        os.chdir(here)


def _text(stream: io.TextIOWrapper) -> str:
    stream.flush()
    return stream.buffer.getvalue().decode("utf-8")  # type: ignore[attr-defined]


@contextlib.contextmanager
def _peak() -> Iterator[list[float]]:
    """Peak memory while it lasts, in megabytes, in a list of one; so far, where it cannot be counted anew."""
    status, anew = Path("/proc/self/status"), Path("/proc/self/clear_refs")
    with contextlib.suppress(OSError):
        anew.write_text("5")
    found = [0.0]
    try:
        yield found
    finally:
        with contextlib.suppress(OSError):
            held = re.search(r"VmHWM:\s*(\d+) kB", status.read_text())
            found[0] = int(held[1]) / 1024 if held else 0.0

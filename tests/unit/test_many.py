"""Many scenes at once: one that comes to grief stops no other, and no folder is left half made."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from cladmodel import many
from cladmodel.errors import OutputError
from cladmodel.many import Ending, Job, Result, cores, jobs_for, run_many
from cladmodel.watching import ManySteps, summary_lines

from ..building import ROOT, SCENES, scene_text
from .many_works import work

BARE = SCENES / "bare-wall.toml"

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals as on Unix")


@pytest.fixture(autouse=True)
def _found_by_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Processes of their own import this folder's work as this one does."""
    monkeypatch.syspath_prepend(str(ROOT))


@dataclass
class Noted:
    """Writes down what it is told."""

    at_once: int = 0
    most: int = 0
    steps: list[tuple[str, str]] = field(default_factory=list)
    ended: list[str] = field(default_factory=list)

    def started(self, job: Job) -> None:
        self.at_once += 1
        self.most = max(self.most, self.at_once)

    def step(self, job: Job, step: str) -> None:
        self.steps.append((job.name, step))

    def done(self, result: Result) -> None:
        self.at_once -= 1
        self.ended.append(result.job.name)


def jobs(tmp_path: Path, *names: str) -> list[Job]:
    return [Job(name=name, scene=Path(f"{name}.toml"), folder=tmp_path / name) for name in names]


def test_one_that_is_killed_or_vanishes_or_fails_stops_no_other(tmp_path):
    noted = Noted()
    names = ("killed", "sound", "vanished", "fails", "memory", "sound too")
    results = run_many(jobs(tmp_path, *names), 2, noted, work)
    assert [r.job.name for r in results] == list(names)
    assert [r.ending.name for r in results] == ["CANNOT", "SOUND", "CANNOT", "FAILS", "CANNOT", "SOUND"]
    assert "was ended by SIGKILL, most often for want of memory" in results[0].problems[0]
    assert "its process ended with 7 and no word" in results[2].problems[0]
    assert sorted(noted.ended) == sorted(names)
    assert set(noted.steps) == {(name, "beginning") for name in names}
    assert noted.most == 2
    assert all(r.seconds > 0 for r in results)
    # The killed one was half way with its folder: no trace of it.
    assert sorted(p.name for p in tmp_path.iterdir()) == ["killed.begun"]


def test_want_of_memory_is_said():
    from cladmodel.telling import problem_lines

    assert problem_lines(MemoryError()) == [
        "cannot be built: there is not enough memory. Close other programs, or build fewer at once."
    ]


def test_never_more_at_once_than_asked_for(tmp_path):
    noted = Noted()
    run_many(jobs(tmp_path, "slow 1", "slow 2", "slow 3"), 1, noted, work)
    assert noted.most == 1
    assert noted.ended == ["slow 1", "slow 2", "slow 3"]


@pytest.mark.parametrize("word", [signal.SIGINT, signal.SIGTERM], ids=["Ctrl-C", "ended by the system"])
@pytest.mark.parametrize("kind", ["sleeps", "deaf"])
def test_stopped_it_stops_all_and_leaves_no_folder_half_made(tmp_path, monkeypatch, word, kind):
    monkeypatch.setattr(many, "PATIENCE", 0.5)
    out = tmp_path / f"{kind} 1"
    out.mkdir()
    (out / "mine.txt").write_text("mine")

    def stop_when_begun() -> None:
        begun = [tmp_path / f"{kind} {n}.begun" for n in (1, 2)]
        until = time.monotonic() + 60
        while not all(file.exists() for file in begun) and time.monotonic() < until:
            time.sleep(0.02)
        os.kill(os.getpid(), word)

    threading.Thread(target=stop_when_begun, daemon=True).start()
    with pytest.raises(KeyboardInterrupt):
        run_many(jobs(tmp_path, f"{kind} 1", f"{kind} 2", "sound"), 2, Noted(), work)
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"{kind} 1", f"{kind} 1.begun", f"{kind} 2.begun"]
    assert [p.name for p in out.iterdir()] == ["mine.txt"]
    assert not children()


def children() -> list[str]:
    """Processes of ours that still run our work; multiprocessing's own helper is none."""
    listed = subprocess.run(["ps", "-o", "args=", "--ppid", str(os.getpid())], capture_output=True, text=True)
    return [line for line in listed.stdout.splitlines() if "spawn_main" in line]


def test_scenes_of_the_same_name_are_refused_and_both_named(tmp_path):
    one, other = Path("a/wall.toml"), Path("b/Wall.toml")
    with pytest.raises(
        OutputError, match=r"^a/wall\.toml and b/Wall\.toml: would both go to out/Wall\. Rename"
    ):
        jobs_for([one, Path("c.toml"), other], Path("out"), pictures=False)


def test_a_scene_named_twice_is_refused():
    with pytest.raises(OutputError, match=r"^a\.toml: is named twice\. Name each scene once\.$"):
        jobs_for([Path("a.toml"), Path("a.toml")], Path("out"), pictures=False)


def test_a_file_for_the_folder_of_all_is_refused(tmp_path):
    (tmp_path / "out").write_text("mine")
    with pytest.raises(OutputError, match="it is a file, not a folder"):
        jobs_for([Path("a.toml"), Path("b.toml")], tmp_path / "out", pictures=False)


@pytest.mark.parametrize("name", ["...toml", "..toml", ".toml"])
def test_no_name_of_a_scene_leads_out_of_the_folder(name):
    (job,) = jobs_for([Path(name)], Path("out"), pictures=False)
    assert job.folder is not None
    assert job.folder.parent == Path("out")
    assert job.folder.name not in ("", ".", "..")


def result(name: str, ending: Ending, counts: tuple[int, int, int, int] | None = None) -> Result:
    job = Job(name=name, scene=Path(f"{name}.toml"), folder=Path("out") / name)
    return Result(job=job, ending=ending, counts=counts, seconds=12.34)


RESULTS = [
    result("bare-wall", Ending.SOUND, (0, 2, 9, 19)),
    result("wrong-wall", Ending.FAILS, (31, 3, 9, 16)),
    result("bad", Ending.CANNOT),
]


def test_the_summary_tells_each_scene_in_a_line():
    assert summary_lines(RESULTS) == [
        "scene       verdict          fails  cautions  not assessed  sound  seconds  where",
        "bare-wall   sound                0         2             9     19     12.3  out/bare-wall",
        "wrong-wall  fails               31         3             9     16     12.3  out/wrong-wall",
        "bad         cannot be built                                           12.3",
    ]


def test_without_a_terminal_each_scene_that_is_done_is_a_plain_line(capsys):
    with ManySteps(3) as steps:
        for each in RESULTS:
            steps.started(each.job)
            steps.step(each.job, "measuring")
        for each in RESULTS:
            steps.done(each)
    assert capsys.readouterr().err.splitlines() == [
        "1 of 3 done: bare-wall: sound, 12.3 s",
        "2 of 3 done: wrong-wall: fails, 12.3 s",
        "3 of 3 done: bad: cannot be built, 12.3 s",
    ]


def test_on_a_terminal_it_tells_who_is_at_work_and_how_many_are_done(monkeypatch, capsys):
    monkeypatch.setenv("TTY_COMPATIBLE", "1")
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "100")
    with ManySteps(3) as steps:
        for each in RESULTS[:2]:
            steps.started(each.job)
            steps.step(each.job, "drawing the sheets")
        steps.done(RESULTS[0])
        assert steps._live is not None
        steps._live.refresh()
    shown = capsys.readouterr().err
    assert "wrong-wall: drawing the sheets" in shown
    assert "1 of 3 done" in shown
    assert "bare-wall: sound, 12.3 s" in shown


@pytest.fixture
def scenes(tmp_path: Path) -> list[Path]:
    """One sound, one that cannot be built, one that is not there."""
    (tmp_path / "bad.toml").write_text(scene_text(wall={"height": 2.4}))
    return [tmp_path / "bad.toml", BARE, tmp_path / "gone.toml"]


def test_build_of_many_gives_each_a_folder_and_the_worst_exit_code(run, tmp_path, scenes):
    out = tmp_path / "out"
    ran = run("build", *scenes, "--out", out, "--no-pictures", "--jobs", 2)
    assert ran.code == 2
    assert [p.name for p in out.iterdir()] == ["bare-wall"]
    assert (out / "bare-wall" / "model.glb").read_bytes()[:4] == b"glTF"
    assert "bad: cannot be built: wall.height = 2.4: must be from 400 to 12000 mm." in ran.err
    assert "gone: cannot be built: " in ran.err
    rows = [line.split()[:2] for line in ran.out.splitlines()]
    assert rows == [["scene", "verdict"], ["bad", "cannot"], ["bare-wall", "sound"], ["gone", "cannot"]]


def test_check_of_many_tells_what_is_wrong_with_each(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    wrong = SCENES / "wrong-wall.toml"
    ran = run("check", BARE, wrong, "--jobs", cores())
    assert ran.code == 1
    assert f"{wrong}: FAILS: lap: " in ran.out
    assert f"{BARE}: FAILS: " not in ran.out
    assert [line.split()[1] for line in ran.out.splitlines()[-2:]] == ["sound", "fails"]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("number", ["0", "-3", "many", "1.5", ""])
def test_a_number_of_jobs_that_is_none_is_refused(run, number):
    ran = run("build", BARE, BARE, "--jobs", number)
    assert ran.code == 2
    assert "say how many scenes to work on at once, a whole number from 1" in ran.err


@pytest.mark.parametrize("command", ["build", "check"])
def test_no_scene_is_said(run, command):
    ran = run(command)
    assert ran.code == 2
    assert ran.problems == ["cannot be built: name a scene, a .toml file; cladmodel new FILE writes one"]


def test_a_pattern_that_nothing_matches_is_said(run, tmp_path):
    ran = run("build", tmp_path / "*.tml", BARE)
    assert ran.code == 2
    assert ran.problems == [
        f"cannot be built: {tmp_path / '*.tml'}: no file's name is like this pattern. Check it."
    ]


def test_the_command_of_many_is_stopped_by_ctrl_c_in_its_terminal(tmp_path, scenes):
    """As a terminal does it: the signal goes to the command and to all processes it started."""
    code = "import sys; from cladmodel.cli import main; main()"
    words = ["build", *map(str, scenes[:2]), "--out", str(tmp_path / "out"), "--no-pictures", "--jobs", "2"]
    with subprocess.Popen(
        [sys.executable, "-c", code, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as started:
        until = time.monotonic() + 60
        while not list(tmp_path.glob("out/.cladmodel-*/new/*")) and time.monotonic() < until:
            time.sleep(0.02)
        os.killpg(started.pid, signal.SIGINT)
        out, err = started.communicate(timeout=60)
    assert started.returncode == 130
    assert out == ""
    assert err.splitlines()[-1] == "stopped"
    assert "Traceback" not in err
    assert not (tmp_path / "out").exists() or list((tmp_path / "out").iterdir()) == []

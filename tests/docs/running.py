"""Run a document from top to bottom in a folder of its own, as a reader would who types all that it shows."""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any
from unittest import mock

from cladmodel import cli, load_scene_text

from ..building import ROOT
from .documents import Block, blocks, commands

# Who runs what this suite does not: lines that make or fill an environment, and what runs the suite itself.
RUN_BY_CI = {
    "python3 -m venv .venv": ".ci/fresh-machine",
    ".venv/bin/pip install -q .": ".ci/fresh-machine",
    '.venv/bin/pip install -q ".[usdz,ifc]"': ".ci/fresh-machine",
    '.venv/bin/pip install -q -e ".[test]"': ".ci/run",
    ".venv/bin/pytest -q -n 2": ".ci/run",
    ".ci/run": "CI",
    ".ci/fresh-machine": ".ci/run",
}
OURS = ".venv/bin/cladmodel"
# Pictures are asked for small and rough here: how they are drawn is tested elsewhere, and CPU is dear.
SMALL = ("--size", "160x100")


@dataclass(eq=False)
class Reader:
    """A folder with the example scenes, and what its reader has typed so far.

    Attributes
    ----------
    folder : Path
    names : dict
        Of the document's Python.
    shown : str
        What the last block printed.
    ran : list of str
        Commands of cladmodel.
    """

    folder: Path
    names: dict[str, Any] = field(default_factory=dict)
    shown: str = ""
    ran: list[str] = field(default_factory=list)
    spoiled: tuple[Path, str] | None = None

    def read(self, block: Block) -> None:
        """Do what one block asks for."""
        match block.language:
            case "toml":
                self._toml(block)
            case "sh":
                self._sh(block)
            case "python":
                self._python(block)
            case "text" if block.told == "a list of folders":
                assert_folders(block)
            case "text":
                assert_shown(block.text, self.shown)
            case _:
                raise AssertionError(f"line {block.line}: nobody runs a block of {block.language!r}")

    def _toml(self, block: Block) -> None:
        """A scene on its own, or as the comment above says: a file, more of it, or one line of it wrong."""
        what, _, name = block.told.partition(": ")
        file = self.folder / name
        if what == "file":
            file.write_text(block.text, encoding="utf-8")
        elif what == "add to":
            file.write_text(file.read_text(encoding="utf-8") + "\n" + block.text, encoding="utf-8")
        elif what == "mistake in":
            self.spoiled = file, file.read_text(encoding="utf-8")
            file.write_text(with_lines(self.spoiled[1], block.text), encoding="utf-8")
            return
        elif what == "change in":
            file.write_text(with_lines(file.read_text(encoding="utf-8"), block.text), encoding="utf-8")
        else:
            assert not block.told, f"line {block.line}: unknown comment {block.told!r}"
            load_scene_text(block.text)
            return
        load_scene_text(file.read_text(encoding="utf-8"))  # each bit builds

    def _sh(self, block: Block) -> None:
        wanted = int(code[1]) if (code := re.search(r"exits with (\d)", block.told)) else 0
        said = io.StringIO()
        for line in commands(block):
            if line in RUN_BY_CI:
                continue
            words = shlex.split(line)
            if words[0] == "python":
                assert_script(words[1:])
                continue
            assert words[0] == OURS, f"line {block.line}: nobody runs {line!r}"
            self.ran.append(line)
            code_found = self._command(words[1:], said)
            assert code_found == wanted, (line, code_found, said.getvalue())
        self.shown = said.getvalue()
        if self.spoiled:
            self.spoiled[0].write_text(self.spoiled[1], encoding="utf-8")
            self.spoiled = None

    def _command(self, words: list[str], said: io.StringIO) -> int:
        out = None
        if ">" in words:
            at = words.index(">")
            words, out = words[:at], self.folder / words[at + 1]
        if words[0] == "render" and "turn" not in words and "--size" not in words:
            words = [*words, *SMALL, "--quick"]
        if words[0] == "build":
            words = [*words, "--no-pictures"]
        inside = io.StringIO() if out else said
        with (
            contextlib.chdir(self.folder),
            mock.patch.object(sys, "argv", ["cladmodel", *words]),
            contextlib.redirect_stdout(inside),
            contextlib.redirect_stderr(said),
        ):
            try:
                cli.main()
            except SystemExit as end:
                code = int(end.code or 0)
        if out:
            out.write_text(inside.getvalue(), encoding="utf-8")
        return code

    def _python(self, block: Block) -> None:
        said = io.StringIO()
        with contextlib.chdir(self.folder), contextlib.redirect_stdout(said):
            exec(compile(block.text, f"line {block.line}", "exec"), self.names)
        self.shown = said.getvalue()


def with_lines(scene: str, lines: str) -> str:
    """A scene with each of some lines in place of its first that gives the same field, in the table named."""
    kept = ""
    for line in lines.splitlines():
        if line.startswith("["):
            before, table, scene = scene.partition(line + "\n")
            assert table, f"no table {line}"
            kept += before + table
            continue
        name = line.partition("=")[0].strip()
        pattern = re.compile(rf"^{re.escape(name)} *=.*$", re.MULTILINE)
        scene, count = pattern.subn(lambda _, line=line: line, scene, count=1)
        assert count == 1, f"no line gives {name}"
    return kept + scene


def assert_shown(shown: str, said: str) -> None:
    """Hold shown output to what was said: line ends are free, and ``...`` stands for anything."""
    pieces = [re.escape(" ".join(piece.split())) for piece in shown.split("...")]
    pattern = "(?s)" + r"\s*.*?\s*".join(pieces)
    assert re.fullmatch(pattern, " ".join(said.split())), f"shown:\n{shown}\nsaid:\n{said}"


def assert_folders(block: Block) -> None:
    """Hold a list of folders, indented by level, to what is there."""
    at: list[str] = []
    for line in block.text.splitlines():
        name = line.split()[0]
        level = (len(line) - len(line.lstrip())) // 2
        at = [*at[:level], name]
        assert (ROOT / "".join(at)).exists(), "".join(at)


def assert_script(words: list[str]) -> None:
    """Hold a line that runs one of the repository's own scripts to that script and its options."""
    text = (ROOT / words[0]).read_text(encoding="utf-8")
    assert '__name__ == "__main__"' in text, words[0]
    for option in (word for word in words[1:] if word.startswith("--")):
        assert f'"{option}"' in text, (words[0], option)


def read_through(name: str, folder: Path) -> Reader:
    """Read one document from top to bottom."""
    shutil.copytree(ROOT / "scenes", folder / "scenes")
    reader = Reader(folder)
    for block in blocks(name):
        try:
            reader.read(block)
        except BaseException as error:
            error.add_note(f"{name}, line {block.line}")
            raise
    return reader


@contextlib.contextmanager
def built_once() -> Iterator[None]:
    """Build, plan and measure a scene once, however many commands of a document ask for it."""
    import cladmodel.build
    import cladmodel.jobs
    import cladmodel.measuring
    import cladmodel.showing
    from cladmodel.views import turntable

    planned, measured = cladmodel.build.build_planned, cladmodel.measuring.measure
    built: dict[str, Any] = {}
    found: dict[int, Any] = {}

    def build(scene: Any) -> Any:
        key = scene.model_dump_json()
        if key not in built:
            built[key] = planned(scene)
        return built[key]

    def measure(scene: Any, model: Any) -> Any:
        if id(model) not in found:
            found[id(model)] = measured(scene, model)
        return found[id(model)]

    with contextlib.ExitStack() as stack:
        stack.enter_context(mock.patch.object(cladmodel.build, "build_planned", build))
        for module in (cladmodel.measuring, cladmodel.jobs):
            stack.enter_context(mock.patch.object(module, "measure", measure))
        # The page's picture for the time before the model is there is a whole rendering: not here.
        stack.enter_context(mock.patch.object(cladmodel.showing, "_poster", return_value=None))
        # And a turn is 24 pictures: four small ones here.
        few = partial(turntable.turntable, frames=4, size=(64, 40))
        stack.enter_context(mock.patch.object(turntable, "turntable", few))
        stack.enter_context(mock.patch.dict(os.environ, {"COLUMNS": "200"}))
        yield

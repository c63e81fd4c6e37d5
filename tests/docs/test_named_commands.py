"""Every command that the documents tell a stranger to type exists, with the options it is given."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from ..building import ROOT
from .documents import DOCUMENTS, text_of

# In a block of commands, or quoted within a sentence; never the name of the package or of a folder.
TYPED = re.compile(r"(?:bin/cladmodel|`cladmodel) (--\w+|[a-z][\w-]*)([^`\n#&|>]*)")


def typed() -> list[tuple[str, str, tuple[str, ...]]]:
    """Document, command and the options given with it."""
    found = []
    for name in DOCUMENTS:
        for command, rest in TYPED.findall(text_of(name)):
            found.append((name, command, tuple(re.findall(r"(?<!\S)--[\w-]+", rest))))
    return sorted(set(found))


def help_of(*words: str) -> str:
    code = "from cladmodel.cli import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, *words, "--help"],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        env={"COLUMNS": "200", "PATH": "", "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def commands() -> set[str]:
    return set(re.findall(r"^\s{2}([a-z][\w-]*)\s", help_of().split("Commands:")[1], re.MULTILINE))


def test_the_documents_name_commands():
    assert {"build", "check", "new", "schema"} <= {command for _, command, _ in typed()}


@pytest.mark.parametrize(
    ("document", "command", "options"), typed(), ids=lambda v: v if isinstance(v, str) else " ".join(v)
)
def test_a_command_in_a_document_is_there(commands, document, command, options):
    if command.startswith("--"):
        assert command in help_of(), document
        return
    assert command in commands, document
    text = help_of(command)
    for option in options:
        assert option in text, (document, command, option)


def test_every_command_is_told_of_in_the_readme(commands):
    told = {command for name, command, _ in typed() if name == "README.md"}
    assert commands <= told, commands - told

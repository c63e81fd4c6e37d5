"""Three hundred hostile cases through the command: sound, truly at fault, or refused in words and in time."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from . import files, hostile, words
from .case import Case
from .through import End, Ran, judged, run_case, unreadable

# So many of each family: most of those that are refused at once, few of those that are often built.
COUNTS = {
    hostile.one_field: 110,
    hostile.several_fields: 14,
    hostile.all_texts: 20,
    hostile.good_tree_gone_wrong: 9,
    hostile.good_text_gone_wrong: 9,
    hostile.too_many: 6,
    hostile.bad_plan: 22,
    files.strange_file: 40,
    files.strange_keys: 56,
    words.strange_words: 14,
}
GOOD = hostile.SMALL.encode()


@pytest.mark.parametrize("family", COUNTS, ids=lambda family: family.__name__)
def test_no_hostile_case_breaks_a_promise(family, tmp_path):
    broken = []
    for number in range(COUNTS[family]):
        rng = random.Random(f"suite {family.__name__} {number}")
        case, folder = family(rng), tmp_path / str(number)
        folder.mkdir()
        ran = run_case(case, folder, rng)
        if ran.end.offends:
            broken.append((number, ran.end, ran.why, ran.err[:500]))
    assert broken == []


def test_every_field_of_the_schema_is_reached():
    paths = {".".join(leaf.path) for leaf in hostile.leaves()}
    assert {
        "title",
        "board.width",
        "opening.[].left",
        "building.wall.[].foot",
        "fixings.board_nail.head",
    } <= paths
    assert len(paths) > 150


def refused(folder: Path, data: bytes | str, *, word: str = "check") -> Ran:
    """Run one scene that must be refused."""
    folder.mkdir(exist_ok=True)
    scene = folder / "scene.toml"
    scene.write_bytes(data.encode() if isinstance(data, str) else data)
    ran = judged([word, str(scene)], folder)
    assert (ran.end, ran.why) == (End.REFUSED, ""), ran.err
    return ran


def sized(**tables: str) -> str:
    """The small wall with other tables."""
    return hostile.SMALL + "".join(f"[{name}]\n{text}\n" for name, text in tables.items())


TOO_LARGE = {
    "a gauge of a few millimetres": (
        sized(board="width = 60\nbutt = 6\nthin_edge = 3\nleast_lap = 55"),
        "board.least_lap = 55.0: leaves a gauge of 5: 420 courses in 2100 mm; 250 is most, a gauge of 8.",
    ),
    "nails by the ten thousand": (
        'title = "x"\n[wall]\nlength = 40000\nheight = 12000\n'
        "[board]\nwidth = 80\nbutt = 8\nthin_edge = 4\nleast_lap = 30\n[studs]\ncentres = 200\n",
        "nails and screws in this wall; 30000 is most: 228",
    ),
    "a strip with thousands of slots": (
        sized(vent_strip="rows = 6\nslot_width = 1\nslot_length = 3\nslot_spacing = 5"),
        "vent_strip.slot_spacing = 5.0: 3000 slots in one length of 2500; 1000 is most, a spacing of 15.0.",
    ),
    "a plan of hundreds of walls": (
        'title = "x"\n[building]\nheight = 12000\ncorners = '
        + repr([[x, 22 * y] for x, y in hostile.comb(100, 800.0)])
        + "\n[studs]\ncentres = 200\n",
        "nails and screws in all; 300000 is most",
    ),
    "a list of thousands": (hostile.SMALL + "[[opening]]\n" * 1001, "opening: holds 1001 items"),
    "boards that lean like louvres": (
        sized(board="width = 100\nbutt = 45\nthin_edge = 40\nleast_lap = 30", posts="size = 200"),
        "20 is most",
    ),
}


@pytest.mark.parametrize("case", TOO_LARGE)
def test_silly_sizes_are_refused_at_once_with_the_largest_allowed(case, tmp_path):
    text, says = TOO_LARGE[case]
    ran = refused(tmp_path, text)
    assert says in ran.err, ran.err
    assert ran.seconds < 2


UNSEEN = ("\x00", "\x1b[31m", "\n", "\u202e", "\u200b", "\ufeff", "\u2028", "\ufffe", "\x85", "\u00ad")


@pytest.mark.parametrize("sign", UNSEEN, ids=lambda sign: f"U+{ord(sign[0]):04X}")
def test_a_name_with_a_sign_that_cannot_be_seen_is_refused_and_the_sign_is_named(sign, tmp_path):
    for path, text in (
        ("title", hostile.SMALL.replace("Trial", f"Tri{_escaped(sign)}al")),
        ("wall.name", hostile.SMALL + f'name = "Tri{_escaped(sign)}al"\n'),
    ):
        (line,) = refused(tmp_path, text).err.splitlines()
        assert line.startswith(f"cannot be built: {path} = ")
        assert f"U+{ord(sign[0]):04X} after 'Tri'" in line


def _escaped(text: str) -> str:
    return "".join(f"\\U{ord(sign):08x}" for sign in text)


def test_letters_of_all_scripts_are_welcome_and_composed_alike(tmp_path):
    from cladmodel.build import load_scene_text

    for name in ("Küche", "窓と戸", "حلون", "خانه\u200cها", "👨‍👩‍👧", "Gi\u00e0 h\u1ed9"):
        scene = load_scene_text(hostile.SMALL + f'name = "{name}"\n')
        assert scene.wall is not None
        assert scene.wall.name == name
    parts = 'title = "x"\n[building]\nrectangle = [1800, 1500]\nheight = 2100\nnames = ["Ku\u0308che"]\n'
    window = '[[opening]]\nname = "w"\nwall = "Küche"\nleft = 800\nwidth = 300\nsill = 900\nhead = 1650\n'
    assert load_scene_text(parts + window).building.names == ("Küche",)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        pytest.param(b"a = " + b"9" * 5_000, "a number too long to read", id="thousands of figures"),
        pytest.param(GOOD.replace(b"1800", b"9" * 400), "wall.length = inf: must be an ordinary", id="long"),
        pytest.param(GOOD.replace(b"1800", b"0x" + b"f" * 900_000), "wall.length = inf", id="long hex"),
        pytest.param(b"a = " + b"[" * 400_000, "nested too deeply", id="deep"),
        pytest.param(b"[" + b".".join([b"a"] * 9) + b"]\n", "nested more than 8 deep", id="dotted"),
        pytest.param(GOOD + b"#" * 1_000_001, "at most 1000000 bytes", id="large"),
        pytest.param(GOOD.decode().encode("utf-16"), "not UTF-8 text", id="UTF-16"),
        pytest.param(GOOD.replace(b"Trial", b"\xed\xa0\x80"), "not UTF-8 text", id="half a pair"),
        pytest.param(b'"a\\u001b[31m" = 1\n' + GOOD, "a\\x1b[31m = 1: no such field", id="key in colour"),
        pytest.param(b"a." * 400_000 + b"a = 1\n", "a name of more than 30 parts", id="parts"),
        pytest.param(b'"=".' * 200_000 + b"a = 1\n", "a name of more than 30 parts", id="quoted parts"),
        pytest.param(b"k" * 200_000 + b" = 1\n" + GOOD, "kkk... = 1: no such field", id="long key"),
        pytest.param(b"".join(b"k%d = 1\n" % n for n in range(900)), "and 861 problems more", id="many"),
    ],
)
def test_files_made_to_hurt_are_refused_in_few_short_words(data, says, tmp_path):
    ran = refused(tmp_path, data)
    assert says in ran.err, ran.err[:2000]


@pytest.mark.parametrize(
    ("finish", "says"),
    [
        ('trims = "../../etc/passwd"', "use one of bare"),
        ('name = "painted"\ncolour = "lab(1,2)"', "write it as '#8f9d92'"),
    ],
)
def test_a_finish_that_is_none_is_refused_by_check_and_not_only_by_build(finish, says, tmp_path):
    assert says in refused(tmp_path, sized(finish=finish)).err


def test_a_device_without_an_end_is_not_read_to_its_end(tmp_path):
    # Against the refusal of a file that is not there: what this process holds already is in both.
    held = judged(["check", "not-there.toml"], tmp_path).megabytes
    ran = judged(["check", "/dev/zero"], tmp_path)
    assert ran.end is End.REFUSED
    assert "at most 1000000 bytes" in ran.err
    assert ran.megabytes < held + 100


@pytest.mark.parametrize(
    "words", [("export", "x.glb"), ("render", "x.png"), ("page", "--out", "x.html"), ("new", "x")]
)
def test_a_place_that_cannot_be_written_is_refused_before_the_work(words, tmp_path):
    command, *rest = words
    for place in ("y" * 300 + rest[-1], f"no/{rest[-1]}"):
        case = Case(
            "place", GOOD, words=(command, *(() if command == "new" else ("{scene}",)), *rest[:-1], place)
        )
        folder = tmp_path / place[:2]
        folder.mkdir()
        ran = run_case(case, folder, random.Random(1))
        assert (ran.end, ran.why) == (End.REFUSED, ""), ran.err
        assert "cannot be written: " in ran.err
        assert ran.seconds < 1


def test_a_caption_that_cannot_be_seen_is_refused(tmp_path):
    words = ("render", "{scene}", "{folder}/x.png", "--dated", "line\nbreak")
    ran = run_case(Case("caption", GOOD, words=words), tmp_path, random.Random(1))
    assert (ran.end, ran.why) == (End.REFUSED, ""), ran.err
    assert "dated = 'line\\nbreak': must be one line" in ran.err


def test_a_refused_build_leaves_the_folder_as_it_was(tmp_path):
    case = Case("refused", b"title = 3\n", words=("build", "{scene}", "--out", "{out}", "--no-pictures"))
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "report.md").write_text("the old report")
    ran = run_case(case, tmp_path, random.Random(1))
    assert ran.end is End.REFUSED
    assert [(f.name, f.read_text()) for f in (tmp_path / "out").iterdir()] == [
        ("report.md", "the old report")
    ]


def test_the_judge_sees_what_it_is_there_to_see(tmp_path, monkeypatch):
    """A crash, a hidden sign, a file written by check and a refusal without a reason are all told."""
    from cladmodel import cli

    def ended(said: str, code: int, *, crash: bool = False, write: bool = False) -> Ran:
        def main() -> None:
            if crash:
                raise KeyError("x")
            if write:
                (tmp_path / "left").write_text("x")
            print(said)
            raise SystemExit(code)

        monkeypatch.setattr(cli, "main", main)
        return judged(["check", "x"], tmp_path)

    assert ended("sound", 0).end is End.SOUND
    assert ended("", 0, crash=True).why == "KeyError: 'x'"
    assert ended("a \x1b[31m wall", 0).why.startswith("signs that cannot be seen")
    assert ended("sound", 0, write=True).why.startswith("wrote")
    assert ended("no", 2).why == "refused without a reason"
    assert ended("sound", 1).why == "exit 1 without a finding"
    assert unreadable("plain, ünïcode, خانه\u200cها") == ""

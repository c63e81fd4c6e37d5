"""What a stranger calls things comes back letter for letter from every output, and nothing of it is obeyed.

The same hut is built twice: once with plain names, once with names that are markup, codes, formulas or paths.
Other people's readers must find the strange names as words, and everything else as in the plain hut.
"""

from __future__ import annotations

import csv
import io
import json
import re
import struct
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

import ezdxf
import ifcopenshell
import openpyxl
import pypdf
import pytest
from ezdxf.tools.text import plain_text
from lxml import etree
from pxr import Usd

from cladmodel.schedules.report_text import escape

from .hostile import literal
from .through import judged

PLAIN = {
    "title": "Title",
    "walls": ("Wall one", "Wall two", "Wall three", "Wall four"),
    "window": "Window",
    "door": "Door",
    "metal": "Brass",
}
STRANGE = {
    "title": "<!--</title><script>alert(1)</script> ENDSEC; \\X2\\0041\\X0 %%d ^J (x) {0} %s &amp; 窓 $x_1$",
    "walls": ("</script><b>x</b>\"'&", "../../x\\..\\y", "=cmd|'/c calc'!A0", "$\\frac{1}{2}$ ]]> `a` *b* |"),
    "window": "+1+1 &A&P \\P{\\fArial;x}",
    "door": "@SUM(A1) ''; -- #1=IFCWALL($);",
    "metal": "<i>steel</i>, -2 or [x](y)",
}
FORMATS = (".3mf", ".usdz", ".ifc", ".glb")


def _scene(names: dict) -> str:
    one, two, three, four = names["walls"]
    tables = {
        "title": names["title"],
        "building": {"rectangle": [2400, 1500], "names": [one, two, three, four], "height": 2100},
        "opening": [
            {"name": names["window"], "wall": one, "left": 800, "width": 600, "sill": 900, "head": 1650},
            {"name": names["door"], "wall": three, "kind": "door", "left": 700, "width": 700, "head": 1650},
        ],
        "rod": {"align": [f"{names['window']} sill"]},
        "fixings": {"board_nail": {"material": names["metal"]}},
    }
    return "".join(f"{key} = {literal(value)}\n" for key, value in tables.items())


@dataclass(frozen=True)
class Made:
    """A hut's folder of outputs, and what it is called."""

    out: Path
    names: dict

    def text(self, name: str) -> str:
        return (self.out / name).read_text(encoding="utf-8")

    def model(self, ending: str) -> Path:
        return self.out.parent / f"model{ending}"


def _made(folder: Path, names: dict) -> Made:
    scene = folder / "scene.toml"
    scene.write_text(_scene(names), encoding="utf-8")
    ran = judged(["build", str(scene), "--out", str(folder / "out"), "--no-pictures"], folder)
    assert ran.code == 0, (ran.why, ran.err)
    assert ran.why == ""
    for ending in FORMATS:
        ran = judged(["export", str(scene), str(folder / f"model{ending}")], folder)
        assert (ran.code, ran.why) == (0, ""), ran.err
    return Made(folder / "out", names)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return _made(tmp_path_factory.mktemp("plain"), PLAIN)


@pytest.fixture(scope="module")
def strange(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return _made(tmp_path_factory.mktemp("strange"), STRANGE)


def _files(made: Made) -> list[str]:
    """Files by name, those of walls by the wall's number."""
    return sorted(str(file.relative_to(made.out)) for file in made.out.rglob("*"))


def test_nothing_is_written_beside_the_folder_and_every_file_has_a_tame_name(plain: Made, strange: Made):
    assert len(_files(strange)) == len(_files(plain))
    assert {f.name for f in strange.out.parent.iterdir()} == {f.name for f in plain.out.parent.iterdir()}
    for name in _files(strange):
        for part in Path(name).parts:
            assert re.fullmatch(r"[\w.][\w. -]*", part), part
            assert ".." not in part
            assert len(part.encode()) < 200


class _Tags(HTMLParser):
    """Tags with the names of their attributes, and all words."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, ...]] = []
        self.words: list[str] = []
        self.odd: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, *(name for name, _ in attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def handle_comment(self, data: str) -> None:
        self.odd.append(data)

    handle_decl = unknown_decl = handle_pi = handle_comment


def _page(made: Made) -> _Tags:
    if not (made.out / "page.html").exists():
        pytest.skip("cladmodel was installed without its page")
    found = _Tags()
    found.feed(made.text("page.html"))
    found.close()
    return found


def test_page_has_the_same_tags_whatever_things_are_called(plain: Made, strange: Made):
    assert _page(strange).tags == _page(plain).tags
    assert _page(strange).odd == _page(plain).odd
    words = "".join(_page(strange).words)
    for name in (STRANGE["title"], *STRANGE["walls"], STRANGE["metal"]):
        assert name in words


def test_svg_drawings_have_the_same_kinds_of_elements_and_the_names_as_words(strange: Made):
    words = ""
    for file in sorted((strange.out / "drawings").glob("*.svg")):
        root = etree.fromstring(file.read_bytes(), etree.XMLParser(resolve_entities=False, no_network=True))
        kinds = {etree.QName(node).localname for node in root.iter()}
        assert kinds <= {"svg", "title", "style", "rect", "polyline", "path", "text"}, kinds
        allowed = {"class", "fill", "fill-rule", "style", "d", "points", "x", "y", "font-size", "font-weight"}
        allowed |= {"text-anchor", "textLength", "lengthAdjust", "transform", "width", "height", "viewBox"}
        assert {name for node in root.iter() for name in node.attrib} <= allowed
        words += "\n".join(root.itertext())
    for name in STRANGE["walls"]:
        assert name in words


def test_dxf_drawings_are_sound_and_read_back_letter_for_letter(strange: Made):
    words: list[str] = []
    for file in sorted((strange.out / "drawings").glob("*.dxf")):
        document = ezdxf.readfile(file)
        assert not document.audit().errors
        words += [plain_text(text.dxf.text) for text in document.modelspace().query("TEXT")]
    for name in STRANGE["walls"]:
        assert any(name in word for word in words), name


def test_pdf_sheets_hold_no_action_and_the_names_as_words(strange: Made):
    reader = pypdf.PdfReader(strange.out / "sheets.pdf")
    assert reader.metadata is not None
    assert reader.metadata.title == STRANGE["title"]
    assert not {"/OpenAction", "/AA", "/Names", "/AcroForm"} & set(reader.trailer["/Root"])
    assert not [page for page in reader.pages if "/Annots" in page or "/AA" in page]
    words = "".join(page.extract_text() for page in reader.pages)
    for name in STRANGE["walls"]:
        assert name in words, name


def test_spreadsheet_holds_no_formula_and_no_link(strange: Made):
    book = openpyxl.load_workbook(strange.out / "schedules.xlsx")
    assert book.properties.title == STRANGE["title"]
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert not [cell for cell in cells if cell.data_type == "f" or cell.hyperlink is not None]
    found = {cell.value for cell in cells}
    assert set(STRANGE["walls"]) <= found
    with zipfile.ZipFile(strange.out / "schedules.xlsx") as archive:
        assert not [
            name for name in archive.namelist() if "external" in name.lower() or "vba" in name.lower()
        ]


def _csv_cells(made: Made) -> Iterator[str]:
    for file in sorted((made.out / "schedules").glob("*.csv")):
        for row in csv.reader(io.StringIO(file.read_text(encoding="utf-8"), newline="")):
            yield from row


def test_csv_schedules_hold_no_cell_that_a_spreadsheet_would_work_out(strange: Made):
    cells = set(_csv_cells(strange))
    live = [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert not [cell for cell in live if not re.fullmatch(r"-[0-9.]+", cell)]
    assert {name for name in STRANGE["walls"] if name[0] not in "=+-@"} <= cells
    assert f"'{STRANGE['walls'][2]}" in cells


def test_report_md_is_the_plain_hut_s_with_the_names_escaped(plain: Made, strange: Made):
    expected = plain.text("report.md")
    swaps = dict(zip(PLAIN["walls"], STRANGE["walls"], strict=True))
    swaps |= {PLAIN[key]: STRANGE[key] for key in ("title", "window", "metal")}
    both = re.compile("|".join(re.escape(name) for name in swaps))
    expected = both.sub(lambda found: escape(swaps[found[0]]), expected)
    assert strange.text("report.md") == expected


def test_report_json_carries_every_name_as_it_is(strange: Made):
    report = json.loads(strange.text("report.json"))
    assert report["title"] == STRANGE["title"]
    assert [wall["wall"] for wall in report["walls"]] == list(STRANGE["walls"])
    assert report["walls"][0]["openings"][0]["name"] == STRANGE["window"]


def test_glb_carries_every_name_as_it_is(strange: Made):
    data = strange.model(".glb").read_bytes()
    (length,) = struct.unpack_from("<I", data, 12)
    document = json.loads(data[20 : 20 + length])
    assert document["scenes"][0]["name"] == STRANGE["title"]
    assert set(STRANGE["walls"]) <= {node.get("name") for node in document["nodes"]}
    assert not [image for image in document.get("images", []) if "uri" in image]


def test_3mf_has_the_same_elements_whatever_things_are_called(plain: Made, strange: Made):
    def read(made: Made) -> tuple[list[str], str, etree._Element]:
        with zipfile.ZipFile(made.model(".3mf")) as archive:
            names = archive.namelist()
            root = etree.fromstring(archive.read("3D/3dmodel.model"), etree.XMLParser(resolve_entities=False))
        return names, [str(node.tag) for node in root.iter()], root

    (names, tags, root), (plain_names, plain_tags, _) = read(strange), read(plain)
    assert (names, tags) == (plain_names, plain_tags)
    titles = [node.text for node in root.iter("{*}metadata") if node.get("name") == "Title"]
    assert titles == [STRANGE["title"]]
    assert set(STRANGE["walls"]) <= {node.get("name") for node in root.iter("{*}object")}


def test_usdz_names_are_tame_paths_and_strange_labels(plain: Made, strange: Made):
    def labels(made: Made) -> dict[str, str]:
        stage = Usd.Stage.Open(str(made.model(".usdz")))
        return {str(prim.GetPath()): prim.GetDisplayName() for prim in stage.Traverse()}

    found = labels(strange)
    assert len(found) == len(labels(plain))
    assert all(re.fullmatch(r"[/\w]+", path) for path in found)
    assert {STRANGE["title"], *STRANGE["walls"]} <= set(found.values())
    with zipfile.ZipFile(strange.model(".usdz")) as archive:
        assert archive.namelist() == ["model.usdc"]


def test_ifc_has_as_many_things_whatever_they_are_called(plain: Made, strange: Made):
    def read(made: Made) -> ifcopenshell.file:
        return ifcopenshell.file.from_string(made.model(".ifc").read_text(encoding="ascii"))

    found, expected = read(strange), read(plain)
    for kind in ("IfcProject", "IfcWall", "IfcProduct", "IfcRoot", "IfcMaterial"):
        assert len(found.by_type(kind)) == len(expected.by_type(kind))
    assert found.by_type("IfcProject")[0].Name == STRANGE["title"]
    assert {wall.Name for wall in found.by_type("IfcWall")} == set(STRANGE["walls"])

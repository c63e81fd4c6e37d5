"""The document that lists every field is the one the fields themselves write."""

from pathlib import Path

from cladmodel.scene.schema import fields_markdown

DOCUMENT = Path(__file__).parents[3] / "shared" / "docs" / "scene.md"


def test_scene_document_is_what_the_fields_say():
    assert DOCUMENT.read_text(encoding="utf-8") == fields_markdown(), (
        'write it anew: python -c "from cladmodel.scene.schema import fields_markdown as f; '
        "open('shared/docs/scene.md', 'w').write(f())\""
    )


def test_scene_document_gives_unit_and_basis_of_a_field():
    row = next(line for line in fields_markdown().splitlines() if line.startswith("| `least_lap`"))
    assert "| mm | 5 - 200 | `32` |" in row
    assert "NAVEDTRA 14044" in row


def test_scene_document_gives_each_screw_its_own_default():
    own = fields_markdown().split("## `[fixings.batten_screw]`")[1].split("##")[0]
    assert "through the batten into the stud" in own
    assert "| `length` | mm | 10 - 250 | `70` |" in own


def test_scene_document_lists_the_words_to_choose_from():
    rows = fields_markdown().splitlines()
    assert any(row.startswith('| `kind` | choice | `"window"`, `"door"` |') for row in rows)
    assert any(row.startswith("| `treated` | choice | `true`, `false` | left out |") for row in rows)
    assert any(row.startswith('| `thickness` | mm | `"fit"`, 0 - 120 |') for row in rows)

"""What a scene says in words reaches the sheets and the report."""

from __future__ import annotations

from cladmodel.build import build_model, load_scene_text, rules_of
from cladmodel.checks.run import run_checks
from cladmodel.drawings.primitives import Text
from cladmodel.drawings.sheets import sheets
from cladmodel.schedules.report import report

SCENE = '''
title = "Wall"
site_notes = """
Boards in stick under cover.
  No parking by the east gate.
"""
[wall]
length = 1800
height = 1200
'''
CARRIED = ["of the site: Boards in stick under cover.", "of the site: No parking by the east gate."]


def test_notes_of_the_site_are_on_the_sheets_and_in_the_report():
    scene = load_scene_text(SCENE)
    model = build_model(scene)
    findings = run_checks(model, rules_of(scene))
    assert report(model, findings, rules_of(scene), None)["notes"][:2] == CARRIED
    written = " ".join(
        item.text
        for sheet in sheets(model, findings, None)
        for item in sheet.primitives
        if isinstance(item, Text)
    )
    for line in CARRIED:
        assert line in written


def test_a_scene_without_them_has_none():
    scene = load_scene_text('title = "Wall"\n[wall]\nlength = 1800\nheight = 1200')
    assert not any(note.startswith("of the site") for note in build_model(scene).notes)

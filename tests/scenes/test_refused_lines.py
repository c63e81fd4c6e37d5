"""Refused with what was meant: lines that no opening has, and a plan in metres."""

from __future__ import annotations

import pytest

from cladmodel import SceneError, load_scene_text

STORE = """
title = "Store"
[building]
rectangle = [6000, 4000]
height = 2400
[[opening]]
name = "door"
kind = "door"
wall = "wall A"
left = 900
width = 1000
head = 1975
"""


def refused(text: str) -> list[str]:
    with pytest.raises(SceneError) as raised:
        load_scene_text(text)
    return [str(problem) for problem in raised.value.problems]


@pytest.mark.parametrize("line", ["sills", "door sill", "window head", "All heads", ""])
def test_a_line_that_there_is_not(line):
    (problem,) = refused(f'{STORE}\n[rod]\nalign = ["all heads", "{line}"]')
    assert problem.startswith(f"rod.align[2] = '{line}': must be 'all sills', 'all heads' or one opening's")
    assert ": door head. " in problem


@pytest.mark.parametrize("line", ["all sills", "all heads", "door head"])
def test_a_line_that_there_is(line):
    assert load_scene_text(f'{STORE}\n[rod]\nalign = ["{line}"]').rod.align == (line,)


def test_a_plan_in_metres():
    long, wide = refused(STORE.replace("[6000, 4000]", "[6.0, 4.0]"))
    assert long.endswith("Is it in metres? 6 m is 6000 mm.")
    assert wide.startswith("building.rectangle[2] = 4.0: must be from 600 to 100000 mm.")

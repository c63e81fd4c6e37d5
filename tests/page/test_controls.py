"""Each control does what it says: by what the page shows and by what it says."""

from __future__ import annotations

import re

import numpy as np
import pytest
import trimesh

from cladmodel.model import Kind, Part

from .conftest import Job, Opened

CHANGED = 12  # of 255: more than the browser's own noise
PENCIL = 0.3  # mm
BOARDS = 0.05  # share of the window that a wall's boards take up, at least


def share_changed(a: np.ndarray, b: np.ndarray) -> float:
    """Share of pixels that differ."""
    return float((np.abs(a - b).max(axis=2) > CHANGED).mean())


def roughness(picture: np.ndarray, where: np.ndarray) -> float:
    """Mean step from one row of pixels to the next, against the mean brightness."""
    grey = picture.mean(axis=2)
    steps = np.abs(np.diff(grey, axis=0))[where[1:] & where[:-1]]
    return float(np.median(steps) / grey[where].mean())


def part_named(job: Job, mark: str) -> Part:
    return next(part for part in job.model.parts if part.mark == mark)


def in_building(job: Job, part: Part) -> np.ndarray:
    return job.model.to_building(part.wall, part.vertices)


def open_drawer(opened: Opened, title: str) -> None:
    """Open one of the drawers beside the model by its words."""
    words = opened.page.locator(f"#tray summary:text-matches('^{title}')")
    if not words.evaluate("one => one.parentElement.open"):
        words.click()


def stand(opened: Opened, target: np.ndarray, far: float) -> None:
    """Stand square to the south, so far from a point. [mm]"""
    opened.page.evaluate(
        "([target, far]) => cladmodelPage.viewer.orbit.fly({ target, far, turn: 0, rise: 0 })",
        [[float(x) for x in target], far],
    )
    opened.landed()


def slide(opened: Opened, control: str, value: int) -> None:
    opened.page.fill(f"#{control}", str(value))
    opened.drawn()


CAP_AREA = """mark => {
  const { stage, model } = cladmodelPage.viewer;
  let sum = 0;
  for (const face of stage.faces) {
    if (model.head.parts.mark[face.part] !== mark) continue;
    const t = face.triangles;
    for (let i = 0; i < t.length; i += 9) {
      const [u, w] = [3, 6].map(j => [0, 1, 2].map(k => t[i + j + k] - t[i + k]));
      const cross = [0, 1, 2].map(k => u[(k + 1) % 3] * w[(k + 2) % 3] - u[(k + 2) % 3] * w[(k + 1) % 3]);
      sum += Math.hypot(...cross) / 2;
    }
  }
  return sum;
}"""


def test_a_layer_goes_off_and_comes_back(opened: Opened):
    opened.look_square("south")
    before = opened.pixels()
    open_drawer(opened, "Layers")
    box = opened.page.locator("[data-layer=boards]")
    box.uncheck()
    without = opened.pixels()
    assert share_changed(before, without) > BOARDS
    box.check()
    assert share_changed(before, opened.pixels()) == 0


def test_every_layer_of_the_model_has_a_box(opened: Opened, seed_store: Job):
    boxes = opened.page.eval_on_selector_all("[data-layer]", "all => all.map(one => one.dataset.layer)")
    wanted = {str(part.layer) for part in seed_store.model.parts} | {"fixings", "surroundings"}
    assert set(boxes) == wanted
    assert len(boxes) == len(wanted)


def test_finish_changes_the_boards_colour(opened: Opened):
    opened.look_square("south")
    before = opened.pixels()
    opened.page.select_option("#finish", label="Painted blue")
    after = opened.pixels()
    assert share_changed(before, after) > BOARDS
    changed = np.abs(before - after).max(axis=2) > CHANGED
    red, _, blue = after[changed].mean(axis=0)
    assert blue > red + 40
    red, _, blue = before[changed].mean(axis=0)
    assert red > blue + 30
    # Paint hides the grain, and comes off again.
    boards = after[..., 2] > after[..., 0] + 40
    assert roughness(after, boards) < 0.8 * roughness(before, boards)
    opened.page.select_option("#finish", label="Bare")
    assert share_changed(before, opened.pixels()) == 0


def test_sun_changes_the_light(opened: Opened):
    opened.look_square("south")
    bright = opened.pixels()
    opened.page.select_option("#sun", label="Overcast")
    dull = opened.pixels()
    assert share_changed(bright, dull) > BOARDS
    # The south wall lies in the sun; under a cloudy sky it is darker.
    wall = np.abs(bright - dull).max(axis=2) > CHANGED
    assert dull[wall].mean() < bright[wall].mean() - 10
    assert opened.state("v.model.head.suns[v.state.sun].name") == "overcast"


def test_level_cut_shows_the_true_section(opened: Opened, seed_store: Job):
    """A plain prism's section is its volume by its height: a batten, a strip full of slots."""
    open_drawer(opened, "Cut")
    opened.page.select_option("#cut", label="level")
    for mark in ("AB05", "APR", "AV1"):
        part = part_named(seed_store, mark)
        low, high = part.vertices[:, 1].min(), part.vertices[:, 1].max()
        if part.kind is Kind.POST:  # its foot is cut back
            along, through = (part.vertices[:, k].max() - part.vertices[:, k].min() for k in (0, 2))
            wanted = along * through
        else:
            wanted = trimesh.Trimesh(part.vertices, part.faces, process=False).volume / (high - low)
        # The strip is 2 mm high, less than a step of the slider: the plane is set by itself.
        opened.page.evaluate(SAW_LEVEL, float(low + high) / 2)  # the south wall's frame does not lift
        opened.drawn()
        assert opened.page.evaluate(CAP_AREA, mark) == pytest.approx(wanted, rel=1e-3)


SAW_LEVEL = """at => {
  const v = cladmodelPage.viewer;
  v.state.plane = { normal: [0, 1, 0], at };
  v.changed();
}"""

SOLE_PLATE = """() => {
  const { stage, model } = cladmodelPage.viewer;
  const { kind, wall } = model.head.parts;
  const face = stage.faces.find(f => kind[f.part] === "sole plate" && wall[f.part] === 0);
  const ring = face.rings[0];
  return [0, 1, 2].map(k => ring.filter((_, i) => i % 3 === k).reduce((a, b) => a + b) / (ring.length / 3));
}"""


def test_cut_slider_turns_and_hatches(opened: Opened):
    open_drawer(opened, "Cut")
    whole = opened.pixels()
    opened.page.select_option("#cut", label="plumb, across")
    slide(opened, "cut-at", 320)
    assert "2304 mm from the left corner of south" in opened.page.inner_text("#cut-words")
    cut = opened.pixels()
    assert share_changed(whole, cut) > 0.1
    kept = opened.state("v.state.plane.normal[0]")
    opened.page.click("#cut-turn")
    assert opened.state("v.state.plane.normal[0]") == -kept
    assert share_changed(cut, opened.pixels()) > 0.1
    opened.page.click("#cut-turn")
    opened.page.click("#cut-face")
    opened.landed()
    # The sole plate's face: pale timber crossed by dark lines.
    plate = opened.page.evaluate(SOLE_PLATE)
    near = "target => { const o = cladmodelPage.viewer.orbit; o.fly({ ...o.stand, target, far: 300 }); }"
    opened.page.evaluate(near, plate)
    opened.landed()
    x, y = opened.on_screen(plate)
    seen = opened.pixels()[int(y) - 20 : int(y) + 20, int(x) - 40 : int(x) + 40].mean(axis=2)
    assert 0.03 < (seen < 110).mean() < 0.4
    assert (seen > 180).mean() > 0.4
    opened.page.select_option("#cut", label="not cut")
    opened.page.select_option("#stand", label="close to the foot")
    opened.landed()
    opened.page.select_option("#stand", label="to see the whole")
    opened.landed()
    assert share_changed(whole, opened.pixels()) < 0.005


def test_tap_tells_about_a_piece(opened: Opened, seed_store: Job):
    opened.look_square("south")
    part = part_named(seed_store, "A12b")
    corners = in_building(seed_store, part)
    middle = corners.mean(axis=0)
    middle[1] = corners[:, 1].min() + 40  # where no other board covers it
    middle[2] = corners[:, 2].max()
    opened.tap(*opened.on_screen(middle))
    card = opened.page.inner_text("#card")
    words = {line.strip() for line in re.split(r"[\n\t]+", card) if line.strip()}
    assert {"Board", "A12b", "south", "12", part.section} <= words
    assert f"{part.cut_length_mm:.1f} mm" in words
    assert str(seed_store.stock["A12b"]) in words
    opened.page.keyboard.press("Escape")
    assert opened.page.inner_text("#card") == ""


def test_tape_snaps_to_arrises(opened: Opened, seed_store: Job):
    """Two taps a few pixels off the ends of a board's lowest arris give its length to a pencil line."""
    part = part_named(seed_store, "A12b")
    corners = in_building(seed_store, part)
    stand(opened, corners.mean(axis=0), 4000)
    front = corners[np.abs(corners[:, 2] - corners[:, 2].max()) < 0.01]
    left, right = front[np.argmin(front[:, 0])], front[np.argmax(front[:, 0])]
    opened.page.click("#measure")
    assert opened.page.get_attribute("#measure", "aria-pressed") == "true"
    for point, aside in ((left, 4), (right, -4)):
        x, y = opened.on_screen(point)
        opened.tap(x + aside, y - 3)
    words = opened.page.inner_text("#tape")
    found = float(words.split(" mm")[0])
    assert found == pytest.approx(np.linalg.norm(right - left), abs=0.06)
    assert found == pytest.approx(part.cut_length_mm, abs=PENCIL)
    along = float(re.search(r"Along the wall ([\d.]+)", words).group(1))
    assert along == pytest.approx(found, abs=0.2)
    opened.page.click("#measure")
    assert opened.page.inner_text("#tape") == ""


def test_walk_through_the_building_up_order(opened: Opened, seed_store: Job):
    opened.look_square("south")
    whole = opened.pixels()
    last = opened.state("v.model.head.steps.length") - 1
    course_7 = opened.state("v.model.head.steps.indexOf('Course 7')")
    slide(opened, "step", course_7)
    assert "Course 7" in opened.page.inner_text("#step-words")
    assert "A07a" in opened.page.inner_text("#step-words")
    shown = set(opened.state("v.model.head.parts.mark.filter((_, part) => v.stage.shown(v.state)(part))"))
    boards = {p.mark for p in seed_store.model.of_kind(Kind.BOARD) if p.course <= 7}
    assert shown & {p.mark for p in seed_store.model.of_kind(Kind.BOARD)} == boards
    assert share_changed(whole, opened.pixels()) > 0.05
    opened.page.click("#step-on")
    assert "Course 8" in opened.page.inner_text("#step-words")
    opened.page.click("#step-back")
    opened.page.click("#step-back")
    assert "Course 6" in opened.page.inner_text("#step-words")
    rod = opened.page.locator("#rod-strip").bounding_box()
    opened.page.mouse.click(rod["x"] + 16, rod["y"] + rod["height"] - 2)
    assert opened.state("v.state.step") == 0
    assert "Stud frame" in opened.page.inner_text("#step-words")
    opened.page.mouse.move(rod["x"] + 16, rod["y"] + rod["height"] - 2)
    opened.page.mouse.down()
    opened.page.mouse.move(rod["x"] + 16, rod["y"] + 2)
    opened.page.mouse.up()
    assert opened.state("v.state.step") == last
    assert share_changed(whole, opened.pixels()) == 0


def test_a_finding_is_flown_to(opened: Opened, seed_store: Job):
    cautions = [f for f in seed_store.report["findings"] if f["verdict"] == "caution"]
    assert cautions, "the seed store has something to watch"
    open_drawer(opened, "Checks")
    first = opened.page.locator("#checks-list button").first
    assert cautions[0]["text"] in first.inner_text()
    first.click()
    opened.landed()
    part = part_named(seed_store, cautions[0]["mark"])
    where = seed_store.model.to_building(part.wall, np.array([cautions[0]["where_mm"]]))[0]
    box = opened.page.locator("#canvas").bounding_box()
    x, y = opened.on_screen(where)
    assert x == pytest.approx(box["width"] / 2, abs=2)
    assert y == pytest.approx(box["height"] / 2, abs=2)
    assert opened.state("v.state.picked.map(p => v.model.head.parts.mark[p])")[0] == part.mark
    assert part.mark in opened.page.inner_text("#card")


def test_a_mark_is_found_by_name_and_from_the_tables(opened: Opened):
    opened.page.fill("#mark", "b20a")
    opened.page.press("#mark", "Enter")
    opened.landed()
    assert "B20a" in opened.page.inner_text("#card").split()
    opened.page.locator("#cut-list button.mark:text-is('C05a')").click()
    opened.landed()
    assert "C05a" in opened.page.inner_text("#card").split()


def test_turning_nearing_and_shifting(opened: Opened):
    box = opened.page.locator("#canvas").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = opened.state("({...v.orbit.stand})")
    mouse = opened.page.mouse
    mouse.move(x, y)
    mouse.down()
    mouse.move(x + 80, y + 30, steps=4)
    mouse.up()
    turned = opened.state("({...v.orbit.stand})")
    assert turned["turn"] < before["turn"] - 0.2
    assert turned["rise"] > before["rise"]
    assert opened.state("v.state.picked.length") == 0, "a drag is no tap"
    opened.page.focus("#canvas")
    mouse.wheel(0, -300)
    opened.drawn()
    assert opened.state("v.orbit.stand.far") < turned["far"]
    for key, sooner in (("-", "far"), ("ArrowLeft", "turn"), ("ArrowUp", "rise")):
        was = opened.state(f"v.orbit.stand.{sooner}")
        opened.page.keyboard.press(key)
        assert opened.state(f"v.orbit.stand.{sooner}") != was
    opened.page.keyboard.press("Shift+ArrowLeft")
    assert opened.state("v.orbit.stand.target") != before["target"]
    opened.page.keyboard.press("Home")
    opened.landed()
    home = opened.state("v.orbit.stand")
    assert home["target"] == pytest.approx(before["target"])
    assert home["far"] == pytest.approx(before["far"])


def test_nothing_is_drawn_while_nothing_changes(opened: Opened):
    opened.drawn()
    frames = "v.stage.renderer.info.render.frame"
    before = opened.state(frames)
    opened.page.wait_for_timeout(700)
    assert opened.state(frames) == before
    opened.page.select_option("#sun", label="Noon")
    opened.drawn()
    assert opened.state(frames) > before


def test_a_slow_machine_sees_coarse_while_turning_and_sharp_at_rest(opened: Opened):
    ratio = "v.stage.renderer.getPixelRatio()"
    assert opened.state(ratio) == 1
    opened.page.evaluate("cladmodelPage.viewer.late = 9")  # as after many late frames
    opened.page.focus("#canvas")
    opened.page.keyboard.press("ArrowLeft")
    assert opened.state(ratio) == 0.5
    opened.comes_true(f"{ratio} === 1")


def test_keys_alone_pick_and_measure(opened: Opened, seed_store: Job):
    stand(opened, in_building(seed_store, part_named(seed_store, "A06c")).mean(axis=0), 2000)
    opened.page.focus("#canvas")
    opened.page.keyboard.press("Enter")
    assert opened.state("v.state.picked.length") == 1
    opened.page.keyboard.press("m")
    assert opened.state("v.state.tool") == "measure"
    opened.page.keyboard.press("Enter")
    opened.page.keyboard.press("ArrowLeft")
    opened.page.keyboard.press("Enter")
    assert re.match(r"[\d.]+ mm", opened.page.inner_text("#tape"))
    opened.page.keyboard.press("Escape")
    assert opened.state("v.state.tool") == "piece"

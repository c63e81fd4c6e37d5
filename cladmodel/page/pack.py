"""One self-contained file for the client: model, figures, cautions and the means to look at them."""

from __future__ import annotations

import base64
import gzip
import hashlib
import io
from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.model import CornerKind, Layer, Model, Part
from cladmodel.page.binary import pack
from cladmodel.page.bundle import Bundle, load_bundle
from cladmodel.page.looks import (
    AS_MODELLED,
    GROUND_COLOURS,
    PLAIN_COLOURS,
    SUNS,
    UNKNOWN_COLOUR,
    Finish,
    Sun,
    chosen_index,
)
from cladmodel.page.sheet import facts, sheet
from cladmodel.page.steps import Steps, steps_of
from cladmodel.page.stock import StockPlace
from cladmodel.parts.surroundings import surroundings

Json = dict[str, Any]

LAYER_TITLES: Mapping[Layer, str] = {
    Layer.FRAME: "Stud frame",
    Layer.SHEATHING: "Sheathing",
    Layer.MEMBRANE: "Breather membrane",
    Layer.BATTENS: "Battens",
    Layer.STARTER: "Vent strip, starter, packers",
    Layer.POSTS: "Corner posts",
    Layer.TRIMS: "Trims and cover fillet",
    Layer.BOARDS: "Boards",
    Layer.FIXINGS: "Nails and screws",
    Layer.SURROUNDINGS: "Roof, glass and ground",
}

# Sections of the ground that thin out all round, so that no edge of the world is seen.
LAWN = frozenset({"grass", "bank"})

# A poster is looked at on a phone before the model is there, so that it is made small. [pixels], [percent]
POSTER_WIDTH = 1200
POSTER_QUALITY = 82


def page_html(
    model: Model,
    report: Json,
    *,
    poster: bytes | None = None,
    finishes: Sequence[Finish] = (AS_MODELLED,),
    finish: str = "",
    suns: Sequence[Sun] = SUNS,
    stock: Mapping[str, StockPlace] | None = None,
    bundle: Bundle | None = None,
) -> bytes:
    """Write the client's page.

    Parameters
    ----------
    model : Model
        Its surroundings are made here if it has none.
    report : dict
        From `cladmodel.schedules.report.report`, of the same model.
    poster : bytes, optional
        A picture of the wall (PNG, JPEG or WebP), for the time before the model is shown, for paper and for
        browsers that run no script.
    finishes : sequence of Finish
        What the finish can be switched to; at least one.
    finish : str
        Name of the one shown first; the first one if it is not among them.
    suns : sequence of Sun
        What the sun can be switched to; at least one, the first is shown first.
    stock : mapping of str to StockPlace, optional
        By mark; from `cladmodel.page.stock.places_of`.
    bundle : Bundle, optional
        The front end; as installed if not given.

    Returns
    -------
    bytes
        HTML in UTF-8, the same for the same model. It opens offline and asks for nothing.

    Raises
    ------
    OutputError
        If cladmodel was installed without the page, or the poster is no picture.
    """
    if not finishes or not suns:
        raise ValueError("a page needs at least one finish and one sun")
    bundle = load_bundle() if bundle is None else bundle
    stock = {} if stock is None else stock
    parts = [*model.parts, *(model.surroundings or surroundings(model.walls, model.parts))]
    steps = steps_of(model)
    head = _head(model, parts, report, steps, finishes, finish, suns, stock)
    slots = {
        "title": escape(model.title),
        "policy": _policy(bundle),
        "style": bundle.style,
        "poster": _poster(poster, model.title),
        "facts": facts(report),
        "sheet": sheet(report, steps, stock),
        "tool": escape(f"{report['tool']['name']} {report['tool']['version']}"),
        "model": _encoded(pack(model, parts, steps, head)),
        "script": bundle.script,
    }
    return _filled(bundle.shell, slots).encode("utf-8")


def _filled(shell: str, slots: Mapping[str, str]) -> str:
    """Put each text in its slot; what is put in is never searched for slots itself."""
    first, *rest = shell.split("<!--slot:")
    out = [first]
    for piece in rest:
        name, after = piece.split("-->", 1)
        out += [slots[name], after]
    return "".join(out)


def _policy(bundle: Bundle) -> str:
    """Say that this page runs its own script and style only, and asks the network for nothing."""
    script, style = (
        base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode()
        for text in (bundle.script, bundle.style)
    )
    return (
        f"default-src 'none'; script-src 'sha256-{script}'; style-src 'sha256-{style}'; "
        "img-src data: blob:; base-uri 'none'; form-action 'none'"
    )


def _encoded(data: bytes) -> str:
    # No time stamp in the gzip header: the same model gives the same page.
    return base64.b64encode(gzip.compress(data, compresslevel=9, mtime=0)).decode()


def _poster(picture: bytes | None, title: str) -> str:
    if picture is None:
        return ""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(picture)) as opened:
            image = opened.convert("RGB")
    except (UnidentifiedImageError, OSError) as error:
        raise OutputError("the page's picture is no PNG, JPEG or WebP that can be read.") from error
    if image.width > POSTER_WIDTH:
        height = round(image.height * POSTER_WIDTH / image.width)
        image = image.resize((POSTER_WIDTH, height), Image.Resampling.LANCZOS)
    small = io.BytesIO()
    image.save(small, "JPEG", quality=POSTER_QUALITY, optimize=True, progressive=True)
    data = base64.b64encode(small.getvalue()).decode()
    return (
        f'<img id="poster" width="{image.width}" height="{image.height}" '
        f'alt="Picture of {escape(title)}" src="data:image/jpeg;base64,{data}">'
    )


def _head(
    model: Model,
    parts: Sequence[Part],
    report: Json,
    steps: Steps,
    finishes: Sequence[Finish],
    finish: str,
    suns: Sequence[Sun],
    stock: Mapping[str, StockPlace],
) -> Json:
    layers = list(Layer)
    walls = [wall.name for wall in model.walls]
    looks = [_look(part) for part in parts]
    materials = list(dict.fromkeys(looks))
    own = len(model.parts)
    return {
        "title": model.title,
        "walls": [
            {
                "name": wall.name,
                "frame": [round(float(x), 9) + 0.0 for x in wall.frame.ravel()],
                "length": float(wall.length),
                "head": float(wall.head),
                "ground": float(wall.ground),
                "lone": wall.left_corner is wall.right_corner is CornerKind.END,
            }
            for wall in model.walls
        ],
        "layers": [{"name": str(one), "title": LAYER_TITLES[one]} for one in layers],
        "materials": [{"name": name, "colour": colour} for name, colour in materials],
        "steps": list(steps.titles),
        "stepCourses": list(steps.courses),
        "rod": [float(row["from_datum_mm"]) for row in report["rod"]],
        "parts": {
            "own": own,
            "mark": [part.mark for part in parts],
            "kind": [str(part.kind) for part in parts],
            "wall": [walls.index(part.wall) for part in parts],
            "layer": [layers.index(part.layer) for part in parts],
            "material": [materials.index(look) for look in looks],
            "step": [*(int(step) for step in steps.parts), *(0 for _ in parts[own:])],
            "course": [part.course or 0 for part in parts],
            "section": [part.section for part in parts],
            "length": [round(float(part.cut_length_mm), 3) for part in parts],
            "assembly": [part.assembly or "" for part in parts],
            "stock": [str(stock.get(part.mark, "")) for part in parts],
        },
        "fixings": [
            {
                "mark": group.mark,
                "use": str(group.use),
                "name": group.fastener.name,
                "diameter": float(group.fastener.diameter),
                "length": float(group.fastener.length),
                "head": float(group.fastener.head_diameter),
                "thick": float(group.fastener.head_thickness),
                "shown": not group.concealed,
            }
            for group in model.fixings
        ],
        "findings": _findings(model, report["findings"]),
        "finishes": [
            {"name": one.name, "title": one.title, "colours": dict(one.colours), "opaque": one.opaque}
            for one in finishes
        ],
        "finish": chosen_index([one.name for one in finishes], finish),
        "suns": [
            {
                "name": sun.name,
                "title": sun.title,
                "azimuth": sun.azimuth,
                "altitude": sun.altitude,
                "strength": sun.strength,
                "sky": sun.sky,
                "warmth": sun.warmth,
            }
            for sun in suns
        ],
    }


def _look(part: Part) -> tuple[str, str]:
    """Material and plain colour: the finish goes by the first, where it names it."""
    if part.section in LAWN:
        return "lawn", GROUND_COLOURS[part.section]
    if part.material == "ground":
        return part.material, GROUND_COLOURS.get(part.section, PLAIN_COLOURS["ground"])
    return part.material, PLAIN_COLOURS.get(part.material, UNKNOWN_COLOUR)


def _findings(model: Model, findings: Sequence[Json]) -> list[Json]:
    """Where each finding is to be seen, in building axes."""
    owner = {part.mark: part.wall for part in model.parts}
    names = [wall.name for wall in model.walls]
    out = []
    for finding in findings:
        marks = [mark for mark in (finding["mark"], finding["other"]) if mark in owner]
        where, wall = finding["where_mm"], finding["wall"]
        # Of two pieces in different walls the report tells the place in building axes.
        if where is not None and wall in names and len({owner[mark] for mark in marks}) < 2:
            where = model.to_building(wall, np.array([where], np.float64))[0].tolist()
        out.append(
            {
                "verdict": finding["verdict"],
                "where": where,
                "marks": marks,
                "wall": names.index(wall) if wall in names else -1,
            }
        )
    return out

"""What every output says besides its figures: one text, in one place."""

from __future__ import annotations

HEADING = "Before you build"

MODEL_ONLY = "This measures a model, not a building."

VERDICTS = {
    "ok": "Sound: every check passed.",
    "caution": "Sound, with things to watch.",
    "fail": "Not to be built like this: something fails.",
    "not_assessed": "Not assessed: no check could be made.",
}
"""What each verdict on a whole job is in words."""

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Fire",
        "distance to the boundary, cavity barriers and the reaction-to-fire class of the timber as treated "
        "decide whether this cladding may be used here.",
    ),
    (
        "Wind and structure",
        "fixings against wind, studs, lintels and bracing are not designed here; a licensed designer does.",
    ),
    ("Work at height", "plan scaffold or tower, edge protection and how long boards are passed up."),
    (
        "Dust and treated timber",
        "gloves, mask and eye protection when sawing; offcuts of treated timber are never burnt.",
    ),
    ("Power tools", "guards on, cable or battery off before the blade is touched."),
    (
        "Who decides",
        "local codes, the product data of what was actually bought, and licensed designers, "
        "before this sheet.",
    ),
)
"""Topic and what to mind."""

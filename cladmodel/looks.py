"""What a scene's finish looks like, handed from `views` to whoever else shows it: exports and the page."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cladmodel.exports.materials import FinishLook
    from cladmodel.page.looks import Finish as PageFinish
    from cladmodel.scene.job import Scene
    from cladmodel.views.finishes import Finish

# What a finish is put on; all else looks the same under every finish.
FINISHED = ("board", "post", "trim")


def finish_of(scene: Scene) -> Finish:
    """Finish that a scene asks for.

    Parameters
    ----------
    scene : Scene

    Raises
    ------
    OutputError
        If the scene's finish, timber and age do not go together.
    """
    from cladmodel.views.finishes import finish

    asked = scene.finish
    name = asked.colour if asked.name == "painted" and asked.colour else asked.name
    return finish(name, asked.timber, months=asked.weathered_months, trims=asked.trims)


def choices_of(scene: Scene) -> list[Finish]:
    """The scene's own finish first, then every other by name, on the scene's timber.

    Parameters
    ----------
    scene : Scene
    """
    from cladmodel.views.finishes import FINISHES, finish

    own = finish_of(scene)
    return [own, *(finish(name, scene.finish.timber) for name in FINISHES if name != scene.finish.name)]


def export_looks(scene: Scene) -> tuple[FinishLook, ...]:
    """Finishes that a viewer of the exported model may switch between.

    Parameters
    ----------
    scene : Scene
    """
    from cladmodel.exports.materials import FinishLook, Texture
    from cladmodel.views.wood_image import flat_colours, wood_image

    def textures(finish: Finish) -> dict[str, Texture]:
        images = {material: wood_image(finish, material) for material in FINISHED}
        return {m: Texture(image=wood.image, size_mm=wood.size_mm) for m, wood in images.items()}

    return tuple(
        FinishLook(title=f.title, colours=flat_colours(f), textures=textures(f)) for f in choices_of(scene)
    )


def page_looks(scene: Scene) -> tuple[PageFinish, ...]:
    """Finishes that the client's page can be switched to.

    Parameters
    ----------
    scene : Scene
    """
    from cladmodel.page.looks import Finish as PageFinish
    from cladmodel.views.colour import is_colour
    from cladmodel.views.wood_image import flat_colours

    return tuple(
        PageFinish(
            name=f.name,
            title=f.title,
            opaque=f.name == "painted" or is_colour(f.name),
            colours={material: _hex(colour) for material, colour in flat_colours(f).items()},
        )
        for f in choices_of(scene)
    )


def _hex(colour: tuple[float, float, float]) -> str:
    return "#" + "".join(f"{round(255 * min(max(value, 0.0), 1.0)):02x}" for value in colour)

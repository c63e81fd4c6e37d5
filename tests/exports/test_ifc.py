"""IFC files read, validated with the schema's own rules, and measured by other software."""

from __future__ import annotations

import warnings
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import ifcopenshell
import ifcopenshell.util.element
import ifcopenshell.validate
import numpy as np
import pytest

from cladmodel.exports.ifc import ifc_bytes
from cladmodel.exports.ifc_kinds import PRODUCTS
from cladmodel.model import Kind, Layer, Model

from .readers import ifc_pieces, standing


def read(data: bytes) -> ifcopenshell.file:
    return ifcopenshell.file.from_string(data.decode("ascii"))


def issues(file: ifcopenshell.file) -> list[str]:
    """All that the validator has to say, the schema's where-rules included."""
    log = ifcopenshell.validate.json_logger()
    with warnings.catch_warnings():
        # The validator leaves the file of its rules open.
        warnings.simplefilter("ignore", ResourceWarning)
        ifcopenshell.validate.validate(file, log, express_rules=True)
    return [str(statement["message"]) for statement in log.statements]


@pytest.fixture(scope="module")
def file(model: Model) -> ifcopenshell.file:
    return read(ifc_bytes(model))


@pytest.mark.parametrize("kind", ["model", "hostile"])
def test_the_validator_finds_nothing_to_say(kind: str, request: pytest.FixtureRequest) -> None:
    assert issues(read(ifc_bytes(request.getfixturevalue(kind)))) == []


def test_an_empty_building_is_still_an_ifc(model: Model) -> None:
    assert issues(read(ifc_bytes(replace(model, parts=(), fixings=())))) == []
    assert issues(read(ifc_bytes(replace(model, walls=(), parts=(), fixings=())))) == []


def no_word_for_it(file: ifcopenshell.file) -> None:
    next(each for each in file.by_type("IfcMember") if each.PredefinedType == "USERDEFINED").ObjectType = None


def twice_the_same(file: ifcopenshell.file) -> None:
    one, other = file.by_type("IfcMember")[:2]
    other.GlobalId = one.GlobalId


def no_depth(file: ifcopenshell.file) -> None:
    file.by_type("IfcExtrudedAreaSolid")[0].Depth = -1.0


def axes_in_line(file: ifcopenshell.file) -> None:
    place = next(each for each in file.by_type("IfcAxis2Placement3D") if each.Axis is not None)
    place.RefDirection = place.Axis


@pytest.mark.parametrize("spoil", [no_word_for_it, twice_the_same, no_depth, axes_in_line])
def test_the_validator_would_say_something(model: Model, spoil: Callable[[ifcopenshell.file], None]) -> None:
    spoilt = read(ifc_bytes(model))
    spoil(spoilt)
    assert issues(spoilt)


def test_each_kind_of_piece_has_its_product() -> None:
    assert set(PRODUCTS) == set(Kind)


def test_pieces_are_the_right_products_with_their_figures(model: Model, file: ifcopenshell.file) -> None:
    found = {each.Name: each for each in file.by_type("IfcElement")}
    for part in model.parts:
        product = found[part.mark]
        assert product.is_a() == PRODUCTS[part.kind].entity
        assert product.PredefinedType == PRODUCTS[part.kind].type
        assert product.ObjectType == part.kind
        assert product.Tag == part.mark
        told = ifcopenshell.util.element.get_pset(product, "Cladmodel_Piece")
        assert told["Mark"] == part.mark
        assert told["Wall"] == part.wall
        assert told["Layer"] == part.layer
        assert told["Section"] == part.section
        assert told["CutLength"] == part.cut_length_mm
        assert told.get("Course") == part.course
        assert told.get("Assembly") == part.assembly
        # Both courses of the trial building show 131.
        assert told.get("Gauge") == (None if part.course is None else 131.0)
        assert ifcopenshell.util.element.get_material(product).Name == part.material


def test_boards_are_coverings_and_members_members(file: ifcopenshell.file) -> None:
    kinds = Counter((each.is_a(), each.PredefinedType) for each in file.by_type("IfcElement"))
    assert kinds["IfcCovering", "CLADDING"] == 4
    assert kinds["IfcMember", "POST"] == 2
    assert kinds["IfcElementAssembly", "USERDEFINED"] == 2
    assert kinds["IfcWall", "ELEMENTEDWALL"] == 2


def test_walls_hold_their_pieces_and_assemblies_theirs(model: Model, file: ifcopenshell.file) -> None:
    (storey,) = file.by_type("IfcBuildingStorey")
    walls = ifcopenshell.util.element.get_decomposition(storey, is_recursive=False)
    assert sorted(each.Name for each in walls) == sorted(wall.name for wall in model.walls)
    found = {each.Name: each for each in file.by_type("IfcElement")}
    for part in model.parts:
        above = ifcopenshell.util.element.get_aggregate(found[part.mark])
        assert above.Name == (part.wall if part.assembly is None else part.assembly)
        if part.assembly is not None:
            assert above.is_a("IfcElementAssembly")
            assert above.ObjectType == "corner post"
            assert ifcopenshell.util.element.get_aggregate(above).Name == part.wall


def test_an_assembly_over_two_walls_keeps_each_piece_in_its_place(model: Model) -> None:
    joined = replace(
        model,
        parts=tuple(
            part if part.assembly is None else replace(part, assembly="corner") for part in model.parts
        ),
    )
    data = ifc_bytes(joined)
    file = read(data)
    (assembly,) = file.by_type("IfcElementAssembly")
    assert len(ifcopenshell.util.element.get_parts(assembly)) == 4
    found = ifc_pieces(data)
    for part in joined.parts:
        wanted = standing(joined.to_building(part.wall, part.vertices))
        np.testing.assert_allclose(
            found[part.mark].bounds, [wanted.min(axis=0), wanted.max(axis=0)], atol=1e-3
        )


def test_fixings_are_counted_by_wall(model: Model, file: ifcopenshell.file) -> None:
    found = {each.Name: each for each in file.by_type("IfcMechanicalFastener")}
    assert set(found) == {group.mark for group in model.fixings}
    for group in model.fixings:
        product = found[group.mark]
        told = ifcopenshell.util.element.get_pset(product, "Cladmodel_Fixings")
        assert told["Count"] == len(group.heads)
        assert told["Use"] == group.use
        assert told["Concealed"] == group.concealed
        assert product.NominalDiameter == group.fastener.diameter
        assert product.NominalLength == group.fastener.length
        assert product.PredefinedType == "NAIL"
        assert ifcopenshell.util.element.get_aggregate(product).Name == group.wall


def test_screws_are_screws(model: Model) -> None:
    group = model.fixings[0]
    screw = replace(group, fastener=replace(group.fastener, name="screw 5 x 70"))
    file = read(ifc_bytes(replace(model, fixings=(screw,))))
    (made,) = file.by_type("IfcMechanicalFastener")
    assert made.PredefinedType == "SCREW"


def test_walls_carry_their_rod(model: Model, file: ifcopenshell.file) -> None:
    for wall, product in zip(model.walls, file.by_type("IfcWall"), strict=True):
        told = ifcopenshell.util.element.get_pset(product, "Cladmodel_Wall")
        assert told["Length"] == wall.length
        assert told["Courses"] == len(wall.rod) - 1
        assert told["ButtLines"] == wall.rod.tolist()
        assert told["GroundClearance"] == 150.0


def test_straight_pieces_are_pushed_outlines_and_notched_boards_are_face_sets(
    file: ifcopenshell.file,
) -> None:
    ways = {
        each.Name: each.Representation.Representations[0].Items[0].is_a()
        for each in file.by_type("IfcElement")
        if each.Representation is not None
    }
    assert ways["N01-1"] == ways["NB1"] == ways["NP1"] == ways["NV1"] == "IfcExtrudedAreaSolid"
    assert ways["N02-1"] == "IfcPolygonalFaceSet"
    outline = {each.Name: each for each in file.by_type("IfcElement")}["N01-1"]
    solid = outline.Representation.Representations[0].Items[0]
    assert solid.Depth == 1000.0
    assert solid.SweptArea.ProfileName == "170 x 22/9"


def test_a_piece_keeps_its_identity_when_it_changes(model: Model, file: ifcopenshell.file) -> None:
    shorter = replace(model.parts[0], cut_length_mm=900.0)
    again = read(ifc_bytes(model.replace_parts([shorter])))
    assert {each.Name: each.GlobalId for each in again.by_type("IfcRoot")} == {
        each.Name: each.GlobalId for each in file.by_type("IfcRoot")
    }
    other = read(ifc_bytes(replace(model, title="another job")))
    shared = {each.GlobalId for each in other.by_type("IfcRoot")} & {
        each.GlobalId for each in file.by_type("IfcRoot")
    }
    assert not shared


def test_the_finish_colours_its_own_material_and_no_other(model: Model) -> None:
    def colours(file: ifcopenshell.file) -> dict[str, tuple[float, ...]]:
        return {
            style.Name: tuple(style.Styles[0].SurfaceColour)[1:] for style in file.by_type("IfcSurfaceStyle")
        }

    plain = colours(read(ifc_bytes(model)))
    black = colours(read(ifc_bytes(model, finish_colours={"board": (0.0, 0.5, 1.0)})))
    assert black == {**plain, "board": (0.0, 0.5, 1.0)}
    assert set(plain) == {part.material for part in model.parts}


def test_layers_named_in_the_file_are_the_models(model: Model, file: ifcopenshell.file) -> None:
    told = {
        ifcopenshell.util.element.get_pset(each, "Cladmodel_Piece", "Layer")
        for each in file.by_type("IfcElement")
        if each.Representation is not None
    }
    assert told == {part.layer for part in model.parts} <= set(Layer)

"""Specific gravities at 12 % and oven-dry. Sources: shared/wood-gravity.toml, wood-gravity-oven-dry.toml."""

from __future__ import annotations

from cladmodel.standards.density import (
    GRAVITIES_AT_12,
    GRAVITIES_OVEN_DRY,
    GRAVITY_AT_12,
    GRAVITY_OVEN_DRY,
    density_at,
    density_from_oven_dry,
)

from .data import published

AT_12, OVEN_DRY = published("wood-gravity"), published("wood-gravity-oven-dry")


def test_tables():
    assert dict(GRAVITY_AT_12) == AT_12["at_12"]
    assert dict(GRAVITY_OVEN_DRY) == OVEN_DRY["oven_dry"]
    assert GRAVITIES_AT_12.standing == AT_12["source"]["kind"]
    assert GRAVITIES_OVEN_DRY.standing == OVEN_DRY["source"]["kind"]


def test_the_two_kinds_tell_of_the_same_wood():
    # Wood shrinks as it dries, so dry volume is smaller and the oven-dry figure larger.
    assert GRAVITY_OVEN_DRY["Douglas Fir-Larch"] > GRAVITY_AT_12["Douglas-fir"]
    at_12, oven = density_at(0.48, 12.0), density_from_oven_dry(0.50, 12.0)
    assert abs(at_12 - oven) / at_12 < 0.02

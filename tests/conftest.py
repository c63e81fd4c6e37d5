"""Shared by all tests: example scenes built once a session, one quiet hypothesis profile."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, settings

from .building import SCENES, Built, build_file

# Derandomised: the same run on every machine. No deadline: two slow cores are no fault.
settings.register_profile(
    "steady", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("steady")


@pytest.fixture(scope="session")
def tool_store() -> Built:
    """The allotment society's tool store: one window."""
    return build_file(SCENES / "tool-store.toml")


@pytest.fixture(scope="session")
def bare_wall() -> Built:
    """A wall without openings, all defaults."""
    return build_file(SCENES / "bare-wall.toml")


@pytest.fixture(scope="session")
def wrong_wall() -> Built:
    """Wrong on purpose: starter too thin, lap too small, nails through two boards."""
    return build_file(SCENES / "wrong-wall.toml")

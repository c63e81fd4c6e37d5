"""Where the sun stands. Source: shared/sun-position.toml (NREL/TP-560-34302, worked example)."""

import pytest

from cladmodel.views.sun import Place, moment, sun_position

from .data import published

BOOK = published("sun-position")


def apart(one, other):
    """Degrees between two bearings."""
    return abs((one - other + 180.0) % 360.0 - 180.0)


def test_the_worked_example():
    given = BOOK["golden"]
    place = Place(latitude=given["latitude"], longitude=given["longitude"], height=given["height"])
    when = moment(given["day"], given["hour"], place, given["ahead"])
    bearing, altitude = sun_position(place, when, refraction=False)
    assert apart(bearing, given["bearing"]) < given["tolerance"]
    assert altitude == pytest.approx(given["altitude_without_refraction"], abs=given["tolerance"])
    _, seen = sun_position(place, when)
    assert seen == pytest.approx(given["altitude"], abs=given["tolerance"])
    assert seen > altitude


@pytest.mark.parametrize("row", BOOK["southern"]["rows"], ids=lambda row: f"{row[0]} h")
def test_south_of_the_equator(row):
    given = BOOK["southern"]
    place = Place(latitude=given["latitude"], longitude=given["longitude"])
    hour, bearing, zenith = row
    found, altitude = sun_position(place, moment(given["day"], hour, place, 0.0), refraction=False)
    assert apart(found, bearing) < given["tolerance"]
    assert 90.0 - altitude == pytest.approx(zenith, abs=given["tolerance"])

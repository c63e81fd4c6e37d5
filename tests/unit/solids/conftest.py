from dataclasses import dataclass

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon


@dataclass(frozen=True, eq=False)
class Mesh:
    vertices: np.ndarray
    faces: np.ndarray

    def moved(self, by):
        return Mesh(self.vertices + np.asarray(by, float), self.faces)

    def turned(self, matrix):
        return Mesh(self.vertices @ np.asarray(matrix, float).T, self.faces)


def lift(polygon: Polygon, depth: float) -> Mesh:
    """Polygon in x, y lifted from z = 0 to z = depth."""
    polygon = shapely.orient_polygons(polygon)
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat, ends = np.concatenate(rings), np.cumsum([len(r) for r in rings])
    # Constrained Delaunay uses every corner; ear clipping may skip one in line with another hole's.
    at = {tuple(point): i for i, point in enumerate(flat)}
    triangles = shapely.orient_polygons(shapely.constrained_delaunay_triangles(polygon).geoms)
    tri = np.array([[at[point] for point in t.exterior.coords[:3]] for t in triangles])
    n = len(flat)
    sides, first = [], 0
    for end in ends:
        i = np.arange(first, end)
        j = np.roll(i, -1)
        sides += [np.c_[i, j, j + n], np.c_[i, j + n, i + n]]
        first = end
    vertices = np.concatenate([np.c_[flat, np.zeros(n)], np.c_[flat, np.full(n, depth)]])
    return Mesh(vertices, np.concatenate([tri[:, ::-1], tri + n, *sides]))


def box(low, high) -> Mesh:
    """Box between two corners."""
    low, high = np.asarray(low, float), np.asarray(high, float)
    return lift(shapely.box(low[0], low[1], high[0], high[1]), high[2] - low[2]).moved((0, 0, low[2]))


@pytest.fixture
def make_box():
    return box


@pytest.fixture
def make_lift():
    return lift

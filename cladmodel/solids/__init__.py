"""Closed solids from polygons and ways to measure them.

Here: plates, sections, rays, clashes. Not here: timber, walls, or any trade number.
"""

"""Closed solids from polygons and ways to measure them; knows no timber."""

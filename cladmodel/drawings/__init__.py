"""Two-dimensional sheets as lists of primitives, drawn by thin writers.

Here: what is on a sheet, read off a Model, and the writers of PNG, SVG, DXF and PDF. Not here: meshes,
pictures in daylight, or a number that no solid was measured for.
"""

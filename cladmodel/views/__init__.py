"""Pictures: finishes, daylight, cameras, the preview and the layers; rays are followed by Embree.

Here: colour, light, cameras and lettering; pyvista only here. Not here: figures (checks/ and schedules/
have them), or a piece that is not in the Model, except ground, plinth and sky.
"""

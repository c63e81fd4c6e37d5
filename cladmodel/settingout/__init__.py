"""Numbers only: plan, courses, tilt, battens, openings, joints, nails; pure functions.

Here: where everything stands, and whether it can. Not here: meshes, files, or what is measured
afterwards.
"""

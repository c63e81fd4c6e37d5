"""Numbers only: tilt, courses, battens, joints, nails; pure functions, no meshes."""

"""Two-dimensional sheets as lists of primitives, drawn by thin writers."""

"""One file per open format; each reads a Model and writes bytes.

Here: a format's own axes, units and names, met at its border. Not here: setting-out, checks, or a piece
that the Model does not have.
"""

"""Published formulas and tables as pure functions of numbers and arrays.

Here: a formula with its source, its range and its misprints. Not here: a scene's own choices, or a limit
without a source.
"""

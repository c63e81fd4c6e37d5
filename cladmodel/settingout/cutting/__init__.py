"""Joints and saw cuts chosen together: which boards to buy, and which pieces come out of each.

Here: runs, columns, patterns and programs in whole millimetres. Not here: a wall's tilt or solids; it
knows lengths and places only.
"""

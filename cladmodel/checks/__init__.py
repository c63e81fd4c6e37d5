"""One rule a file; each measures finished solids and yields findings.

Here: rules, what they explain of themselves, and the limits handed to them. Not here: scenes, setting-
out, or any number taken from what was asked for instead of from what was built.
"""

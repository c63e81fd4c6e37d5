"""A file or a whole output folder replaced in one step or not at all.

Here: files and folders only. Not here: scenes, models, or what the files are about.
"""

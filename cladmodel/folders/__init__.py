"""An output folder replaced whole or not at all.

Here: files and folders only. Not here: scenes, models, or what the files are about.
"""

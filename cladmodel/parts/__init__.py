"""One file per element: from setting-out numbers to closed solids.

Here: pieces of each element, and how they are lifted. Not here: where things stand (settingout/),
whether they are right (checks/), or how they look.
"""

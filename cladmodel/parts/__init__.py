"""One file per element: from setting-out numbers to closed solids."""

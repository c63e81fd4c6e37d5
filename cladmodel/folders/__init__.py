"""An output folder replaced whole or not at all; knows files and folders, no timber."""

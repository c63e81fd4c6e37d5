"""What the user writes: frozen tables, TOML in, JSON Schema out, errors with the field's path.

Here: fields with unit, bounds, default and basis; pydantic only here. Not here: what must hold between
fields (settingout/), or any geometry.
"""

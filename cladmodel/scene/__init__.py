"""What the user writes: frozen tables, TOML in, JSON Schema out, errors with the field's path."""

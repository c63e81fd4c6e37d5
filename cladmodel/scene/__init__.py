"""What the user writes: frozen models, TOML in, JSON Schema out, errors with the field's path."""

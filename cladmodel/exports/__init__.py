"""One file per open format; each reads a Model and writes bytes."""

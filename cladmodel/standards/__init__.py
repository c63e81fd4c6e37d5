"""Published formulas as pure functions, each with its source; knows no model."""

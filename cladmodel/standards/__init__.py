"""Published formulas as pure functions of numbers and arrays, each with its source."""

"""One rule a file; each measures finished solids and yields findings."""

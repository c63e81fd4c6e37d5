"""Rows read off the solids: rod, cut list, quantities, report."""

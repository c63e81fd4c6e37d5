"""Joints and saw cuts chosen together: which boards to buy, and which pieces come out of each."""

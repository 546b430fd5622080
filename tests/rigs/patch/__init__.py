"""Boxes, ways and where inputs land."""

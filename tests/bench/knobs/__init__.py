"""Turned knobs read from drawn photographs, and from a crew's own."""

"""Measure two clips of one source recorded together: time apart, and polarity."""

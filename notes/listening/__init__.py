"""Pure functions on samples: loudness, peaks, bands, alignment, comparison. No Django.

Samples are float arrays of shape (frames, channels), full scale 1.0; a 1-d array is one channel.
"""

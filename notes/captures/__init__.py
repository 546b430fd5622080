"""Two captures of one source, recorded together: how far apart in time, and with which polarity."""

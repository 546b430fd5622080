"""Files that are sent to the server: their limits, and large ones in pieces that resume."""

"""Files on their way in: how much of them is taken, and large ones in pieces that resume."""

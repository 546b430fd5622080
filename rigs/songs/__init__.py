"""The set as a rig plays it: what must happen between songs, and the run sheet for the tech."""

"""Tonight's gear: what of a rig is another unit, or set differently, at one show or for the rest of
its leg."""

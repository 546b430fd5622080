"""Monitor mixes: what is in them, tonight's wishes, the player's signature."""

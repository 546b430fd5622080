"""What the gear of a show takes from the mains of the house, and what does not fit them."""

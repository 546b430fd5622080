"""What wears out: how it is written, and by which show it must be changed. Pure."""

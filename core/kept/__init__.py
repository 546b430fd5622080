"""What takes long to make and is the same for all who may see it: made once, kept for all."""

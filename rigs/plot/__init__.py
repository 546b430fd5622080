"""The stage from above, to scale: what stands where, and where mains power is wanted."""

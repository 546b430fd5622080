"""What makes the service usable without a network: the worker's parts, and requests done once."""

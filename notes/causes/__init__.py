"""What may have changed between a signed sound and tonight's: candidate causes, ranked."""

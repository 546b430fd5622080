"""The list of goods for a carnet: what travels, what each thing is worth, where it was made."""

"""Names and words of people, held once and apart, so that somebody can be forgotten."""

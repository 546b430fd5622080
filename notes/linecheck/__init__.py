"""The line check of a show: each input is heard in turn, and what is not as listed is on record."""

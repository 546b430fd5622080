"""One player on one page, and the kit on one page, as documented or as it is at a show."""

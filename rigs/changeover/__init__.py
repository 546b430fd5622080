"""The changeover of a show: strike and set in order, ticked off by several people, a clock."""

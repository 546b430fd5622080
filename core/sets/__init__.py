"""The set of a show: its order, who changed it, and how it gets on paper."""

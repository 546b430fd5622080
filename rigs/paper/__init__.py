"""What goes on paper: recall sheets, input lists, pack lists and labels as PDF."""

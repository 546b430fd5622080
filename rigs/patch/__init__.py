"""Where each input lands: boxes with numbered ways, the runs between them, channels and splits."""

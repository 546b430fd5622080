"""Lists that leave and enter: the input list as CSV and XLSX, and the counts for the pack."""

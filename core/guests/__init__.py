"""Links for people without an account: made, listed, closed; what they open, and nothing else."""

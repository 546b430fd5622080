"""One log per production of all that people write: a Merkle tree, checkpoints, what is broken."""

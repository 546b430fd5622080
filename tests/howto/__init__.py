"""What DEVELOPERS.md says, done: each module is run in a copy of the source that was so changed."""

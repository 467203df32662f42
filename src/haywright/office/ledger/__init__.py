"""What happened, in order, for good: an append-only chain of entries per office."""

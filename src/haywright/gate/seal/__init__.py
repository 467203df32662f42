"""The seal of a sale paper: bytes in, bytes out."""

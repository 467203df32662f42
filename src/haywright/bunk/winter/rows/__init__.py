"""Rows of the winter’s program, by kind."""

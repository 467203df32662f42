"""Lots of hay, kept."""

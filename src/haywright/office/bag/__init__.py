"""Bags and who had them, kept."""

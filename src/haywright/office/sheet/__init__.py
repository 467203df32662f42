"""Test sheets in numbered versions, notes, links and calls."""

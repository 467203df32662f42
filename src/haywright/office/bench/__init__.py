"""Readings, batches and results, kept as they came."""

"""The API."""

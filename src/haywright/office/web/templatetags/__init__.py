"""Tags pages are written with."""

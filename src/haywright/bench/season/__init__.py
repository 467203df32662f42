"""A season: every run of one method over a year, judged again at once, as arrays."""

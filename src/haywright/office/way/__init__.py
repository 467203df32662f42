"""What spans places: the lot page, Today, Season; and models made into what the pure code takes."""

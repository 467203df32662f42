"""Balancing: the square, exact answers for two and three feeds, and the least-cost ration."""

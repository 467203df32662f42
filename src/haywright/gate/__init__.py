"""Buying and selling: what a lot is worth. Money is Decimal."""

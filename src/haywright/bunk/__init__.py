"""Feeding: may it be fed, to whom, in what share, and how.

Hazards stand in ``hazards``, one file each.
"""

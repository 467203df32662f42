"""Your hay: the lot, its packages, which bales to core, and the probe.

What is decided before a core is taken, and how hay keeps. A sampling plan leaves here.
"""

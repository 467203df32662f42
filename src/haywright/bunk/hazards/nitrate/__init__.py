"""Nitrate: may this hay be fed, to whom, in what share and how.

question -> doubt (what a bag says of its bales) -> guide rows -> three shares -> verdict.
"""

"""The bibliography, and published tables as plain files with lazy loaders.

One source, one key. A table is a file in ``tables`` with an entry in ``manifest.d``; a loader
reads it when it is first asked for. Nothing here computes.
"""

"""One file per determination; each declares a ``DETERMINATION`` (see ``bench.pattern``)."""

"""Feed the readers with what coverage finds: ``fuzz_by_coverage.py CORPUS -runs=N -seed=N``.

The first byte chooses the reader. A longer run than the tests' own needs more ``-runs``.
"""

from __future__ import annotations

import sys

import atheris

with atheris.instrument_imports(include=["haywright.files"]):
    from tests.files.readers import fed_by_first_byte


def one(data: bytes) -> None:
    fed_by_first_byte(data)


if __name__ == "__main__":
    atheris.Setup(sys.argv, one)
    atheris.Fuzz()

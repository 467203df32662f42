"""What holds on SQLite holds on PostgreSQL: the same tests again, in a cluster of their own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.office.postgres import cluster

HERE = Path(__file__).parent
AGAIN = (
    "test_ledger.py",
    "test_constraints.py",
    "test_lots.py",
    "test_bags.py",
    "test_people.py",
    "test_copies.py",
)


@pytest.mark.slow
@pytest.mark.minutes
def test_actions_and_constraints_hold_on_postgresql_too():
    with cluster() as address:
        ran = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist",
             *(str(HERE / name) for name in AGAIN)],
            env={**_own_environment(), "HAYWRIGHT_TEST_DATABASE": address},
            cwd=HERE.parents[1],
            capture_output=True,
            text=True,
            check=False,
        )  # fmt: skip
    assert ran.returncode == 0, ran.stdout + ran.stderr


def _own_environment() -> dict[str, str]:
    return {name: one for name, one in os.environ.items() if not name.startswith("PYTEST_")}

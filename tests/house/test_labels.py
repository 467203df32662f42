"""docs/labels.md is what the program says today."""

from __future__ import annotations

from tests.house.reading import ROOT
from tools.labels import page


def test_the_list_of_labels_is_up_to_date():
    held = (ROOT / "docs" / "labels.md").read_text(encoding="utf-8").splitlines()
    now = page().splitlines()
    gone, new = set(held) - set(now), set(now) - set(held)
    assert held == now, "make labels writes it anew\n" + "\n".join(
        [*(f"- {line}" for line in sorted(gone)), *(f"+ {line}" for line in sorted(new))]
    )


def test_every_command_and_option_explains_itself():
    silent = [
        line
        for line in page().partition("## Commands and options")[2].partition("\n## ")[0].split("\n")
        if line.count("`") == 2 and line.rstrip().endswith("`") and "--help" not in line
    ]
    assert not silent, "\n" + "\n".join(silent)

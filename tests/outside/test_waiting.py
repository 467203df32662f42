"""Every case runs or waits, never both; a case may leave the waiting list and never joins it."""

from __future__ import annotations

import hashlib

from tests.outside.outside import HERE, adapters, cases, waiting

SUBJECTS = sorted({case.subject for case in cases().values()})


def running() -> set[str]:
    return {one for subject in SUBJECTS for one in adapters(subject)}


def test_every_case_runs_or_waits():
    assert set(cases()) - running() - set(waiting()) == set()


def test_no_case_both_runs_and_waits():
    assert running() & set(waiting()) == set()


def test_every_name_on_the_list_and_in_an_adapter_is_a_case():
    assert (running() | set(waiting())) - set(cases()) == set()


def test_an_adapter_holds_only_its_own_subject():
    strays = {
        one
        for subject in SUBJECTS
        for one in adapters(subject)
        if one in cases() and cases()[one].subject != subject
    }
    assert strays == set()


def test_a_case_may_leave_the_list_and_never_joins_it():
    first = set((HERE / "waiting_first.txt").read_text(encoding="utf-8").split())
    assert set(waiting()) - first == set()


def test_the_case_files_are_as_they_were_given():
    for line in (HERE / "cases.sha256").read_text(encoding="utf-8").splitlines():
        digest, name = line.split()
        held = hashlib.sha256((HERE / "cases" / name).read_bytes()).hexdigest()
        assert held == digest, f"{name} was changed; expected values are the source's"

"""Each outside case that does not wait, through its adapter, against what its source says."""

from __future__ import annotations

import pprint

import pytest

from tests.outside.outside import adapters, cases, differences, waiting

RUNNING = sorted(set(cases()) - set(waiting()), key=list(cases()).index)


@pytest.mark.parametrize("case_id", RUNNING)
def test_case(case_id):
    case = cases()[case_id]
    call = adapters(case.subject).get(case_id)
    assert call is not None, (
        f"{case_id} neither runs nor waits: it needs an entry in adapters/{case.subject}.py"
    )
    found = call(dict(case.inputs))
    wrong = differences(case, found)
    assert not wrong, "\n".join(
        [
            f"{case_id}: {case.claim}",
            f"source   {case.source} ({case.kind})",
            f"inputs   {pprint.pformat(case.inputs)}",
            f"expected {pprint.pformat(case.expected)} within {case.tolerance}",
            f"found    {pprint.pformat(dict(found))}",
            *wrong,
        ]
    )

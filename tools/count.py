"""Counts the outside cases: run and waiting, outside checks and formula checks."""

from __future__ import annotations

from collections import Counter

from tests.outside.outside import adapters, cases, waiting


def main() -> None:
    columns = (
        "cases",
        "run",
        "waiting",
        "without an adapter",
        "outside checks run",
        "formula checks run",
    )
    rows: dict[str, Counter[str]] = {}
    for case in cases().values():
        row = rows.setdefault(case.subject, Counter())
        row["cases"] += 1
        if case.id in waiting():
            row["waiting"] += 1
            continue
        if case.id not in adapters(case.subject):
            row["without an adapter"] += 1
            continue
        row["run"] += 1
        row["formula checks run" if case.formula_only else "outside checks run"] += 1
    total: Counter[str] = Counter()
    for row in rows.values():
        total.update(row)
    print("| subject | " + " | ".join(columns) + " |")
    print("|---|" + "---|" * len(columns))
    for name, row in [*rows.items(), ("all", total)]:
        print(f"| {name} | " + " | ".join(str(row[column]) for column in columns) + " |")
    issues = Counter(waiting().values())
    print("\nwaiting for: " + ", ".join(f"issue {n}: {k}" for n, k in sorted(issues.items())))


if __name__ == "__main__":
    main()

"""Examples of what programs send, in one invented scenario."""

from __future__ import annotations

from typing import Any

_LOT = "0198f0a2-7c11-7cc3-9d10-5f2f4a6b1e01"
_CP: dict[str, Any] = {"quantity": "cp", "value": "9.6", "unit": "%", "basis": "dry matter"}

EXAMPLES: dict[str, dict[str, Any]] = {
    "lot_describe": {
        "facts": {
            "name": "Lower oats",
            "crop": "oats",
            "field": "lower field",
            "baled_on": "2026-08-02",
            "events": ["hail"],
            "storage": "outside on the ground",
            "bales": {"count": 64, "package": "5x4", "weight": "1,120 lb"},
        }
    },
    "lot_replace": {"facts": {"name": "Lower oats", "crop": "oats"}, "version": 1},
    "lot_change": {
        "facts": {"storage": "inside"},
        "version": 1,
        "reason": "moved into the shed",
    },
    "lot_split": {
        "parts": [{"name": "Oats for the cows", "bales": 40}, {"name": "Oats to sell", "bales": 24}],
        "on": "2026-10-01",
    },
    "lot_merge": {"lots": [_LOT], "name": "All the oats", "on": "2026-10-01"},
    "lot_sell": {
        "bales": 12,
        "on": "2026-10-03",
        "buyer": "Pond Ranch",
        "price_per_short_ton": {"amount": "120.00", "currency": "USD"},
    },
    "lot_carry": {"bales": 20, "year": 2027, "on": "2027-05-01"},
    "lot_heat": {
        "temperature": {"value": 118, "unit": "degF"},
        "at": "2026-08-09T07:30:00-06:00",
        "bale": "third from the gate",
    },
    "bag_seal": {
        "lot": _LOT,
        "facts": {"cored_on": "2026-09-08", "tests": ["nitrate"], "bales": "1-20"},
        "at": "2026-09-08T09:00:00-06:00",
    },
    "bags_ship": {"bags": [_LOT], "at": "2026-09-09T09:00:00-06:00", "who": "the mail"},
    "bag_pass_on": {"stage": "shipped", "at": "2026-09-09T09:00:00-06:00", "who": "the mail"},
    "bag_swap": {"other_code": "SDG-0012", "reason": "the two lay on one tray"},
    "report_type": {
        "laboratory": "Plain laboratory",
        "report": "26-0417",
        "numbers": [
            {"quantity": "dm", "value": "88.4", "unit": "%"},
            _CP,
            {"quantity": "nitrate", "value": 1120, "unit": "ppm", "form": "NO3-N",
             "basis": "dry matter"},
        ],
    },
    "result_correct": {"right": _CP, "reason": "the figures were turned round"},
    "batch_receive": {
        "batch": "cp 14 Sep",
        "determination": "nitrogen",
        "run_on": "2026-09-14",
        "results": {},
    },
    "batch_release": {"why": "the control was weighed twice; the second weighing fits"},
    "laboratory_new": {"name": "Plain laboratory", "basis": "dry matter", "nitrate": "ppm NO3-N"},
    "laboratory_change": {"name": "Plain laboratory", "prices": {"nitrate": "14.50"}},
    "sheet_note": {"text": "Feed it mixed, and call me before the cold spell."},
    "sheet_call": {"called": "Juniper Flat", "reached": True, "at": "2026-09-20T18:05:00-06:00"},
    "ranch_describe": {
        "name": "Juniper Flat",
        "facts": {"group": [{"animals": "bred cows", "head": 46, "fed": "mixed"}]},
    },
    "ranch_change": {
        "facts": {"group": [{"animals": "bred cows", "head": 48, "fed": "mixed"}]},
        "version": 1,
    },
}  # fmt: skip

"""What the demo's readings stand on: the bags, their truth, how a batch is written; invented."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np

from haywright.bag.codes import BagCode

HOME = Path(__file__).resolve().parents[1] / "src" / "haywright" / "examples" / "valley"
RNG = np.random.default_rng(20260914)
OATS, BROME, SWALE, FLAT, RIDGE, WRAPPED, SQUARES = (
    str(BagCode("SVH", n)) for n in (31, 32, 33, 34, 35, 36, 37)
)
BAGS = (OATS, BROME, SWALE, FLAT, RIDGE, WRAPPED, SQUARES)
# Truth on dry matter: per cent, NO3-N in mg/kg.
TRUTH = {
    OATS: dict(partial=94.6, n=1.60, adf=37.6, ndf=60.4, ash=9.3, no3n=1085, ca=0.30, p=0.23, mg=0.16, k=2.05, s=0.17, na=0.14),
    BROME: dict(partial=96.2, n=2.38, adf=33.7, ndf=51.0, ash=8.4, no3n=235, ca=0.94, p=0.24, mg=0.25, k=1.96, s=0.21, na=0.03),
    SWALE: dict(partial=93.1, n=1.98, adf=39.4, ndf=63.2, ash=10.2, no3n=5350, ca=0.44, p=0.19, mg=0.30, k=2.31, s=0.13, na=0.02),
    FLAT: dict(partial=93.9, n=1.81, adf=40.2, ndf=64.1, ash=9.4, no3n=2480, ca=0.42, p=0.18, mg=0.29, k=2.12, s=0.12, na=0.02),
    RIDGE: dict(partial=94.4, n=1.66, adf=41.1, ndf=65.0, ash=8.8, no3n=1180, ca=0.40, p=0.18, mg=0.27, k=1.94, s=0.12, na=0.02),
    WRAPPED: dict(partial=54.8, n=2.14, adf=35.3, ndf=57.6, ash=9.9, no3n=560, ca=0.38, p=0.30, mg=0.17, k=2.44, s=0.20, na=0.05),
    SQUARES: dict(partial=95.1, n=1.49, adf=37.2, ndf=61.4, ash=7.6, no3n=120, ca=0.41, p=0.21, mg=0.16, k=1.72, s=0.15, na=0.01),
}  # fmt: skip
LAB_DM = dict(zip(BAGS, (93.6, 94.1, 93.2, 93.4, 93.5, 93.0, 94.0), strict=True))
# Of the hay that is sold, and of the baleage: more is asked.
MORE = {
    BROME: dict(lignin=6.6, adicp=1.15, ndicp=2.9, fat=1.9, undigested=27.8),
    WRAPPED: dict(lignin=4.3, adicp=1.35, ndicp=3.6, fat=2.7, undigested=21.9),
    SQUARES: dict(lignin=5.4, adicp=0.95, ndicp=3.1, fat=2.2, undigested=30.1),
}  # fmt: skip
# Ground for the bench before the first test [g]; the rest of a bag is kept whole.
GROUND = dict(zip(BAGS, (42.0, 48.0, 40.5, 41.0, 43.5, 46.0, 50.0), strict=True))
PREDICTED = ("cp", "adf", "ndf", "lignin", "ash", "fat")
CHECK = "oat powder 7"
CHECK_DM = 93.8
CHECK_TRUTH = dict(lignin=5.1, fat=2.4, adicp=1.05, ndicp=2.8, n=2.05, cp=12.8, adf=34.2, ndf=55.6, ash=8.9, no3n=905, ca=0.52, p=0.26, mg=0.20, k=2.15, s=0.19, na=0.08)  # fmt: skip
N_SHARE = {"edta": 9.586}


def noise(size: float) -> float:
    return float(RNG.normal(0, size))


def grams(value: float) -> str:
    return f"{value:.4f}"


def equipment(*kinds: str, day: str) -> str:
    texts = {
        "balance": f'[[equipment]]\nkind = "balance"\nname = "balance 2"\nchecked_on = {day}\nchecks = [[0.5, 0.5001], [50.0, 50.0002]]\ntolerance = 0.0010\nrepeatability = 0.0001\n',
        "oven": f'[[equipment]]\nkind = "oven"\nname = "oven 1"\nchecked_on = {day}\nchecks = [[105.0, 104.6], [105.0, 105.3]]\n',
        "furnace": f'[[equipment]]\nkind = "furnace"\nname = "furnace 1"\nchecked_on = {day}\nchecks = [[600.0, 603.0]]\n',
        "dispenser": f'[[equipment]]\nkind = "dispenser"\nname = "bottle top 3"\nchecked_on = {day}\nchecks = [[30.0, 30.02]]\nhalf_width = 0.1\n',
        "pipette": f'[[equipment]]\nkind = "pipette"\nname = "burette 1"\nchecked_on = {day}\nchecks = [[10.0, 10.01]]\nrepeatability = 0.02\n',
        "reagent": '[[equipment]]\nkind = "reagent"\nname = "standards and reagents"\nlot = "26-117"\nexpires = 2027-03-31\n',
    }  # fmt: skip
    return "\n".join(texts[kind] for kind in kinds)


def check_material(**assigned: float) -> str:
    pairs = ", ".join(f"{name} = {value}" for name, value in assigned.items())
    spread = ", ".join(f"{n} = {s}" for n, s in BETWEEN.items() if n in assigned)
    return (
        f'[[check_material]]\nname = "{CHECK}"\nlab_dm_pct = {CHECK_DM}\n'
        f"assigned = {{ {pairs} }}\nbetween_runs = {{ {spread} }}\n"
    )


BETWEEN = {"lignin": 0.35, "fat": 0.15, "adicp": 0.12, "ndicp": 0.25, "lab_dm": 0.15, "cp": 0.25, "adf": 0.5, "ndf": 0.7, "ash": 0.2, "nitrate_n": 32,
           "ca": 0.015, "p": 0.008, "mg": 0.007, "k": 0.05, "s": 0.007, "na": 0.005}  # fmt: skip


def write(name: str, head: str, rows: list[dict[str, object]]) -> None:
    folder = HOME / "batches" / name
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "batch.toml").write_text(head, encoding="utf-8")
    columns = list(dict.fromkeys(key for row in rows for key in row))
    out = io.StringIO()
    table = csv.DictWriter(out, columns, restval="", lineterminator="\n")
    table.writeheader()
    for place, row in enumerate(rows, 1):
        table.writerow({**row, "position": place})
    (folder / "readings.csv").write_text(out.getvalue(), encoding="utf-8")


def row(kind: str, sample: str, replicate: int = 1, **readings: object) -> dict[str, object]:
    return {"position": 0, "kind": kind, "sample": sample, "replicate": replicate, **readings}


def head(determination: str, method: str, day: str, *, choices: str = "", more: str = "") -> str:
    return (
        f'determination = "{determination}"\nmethod = "{method}"\nrun_on = {day}\n'
        f'analyst = "bench"\nlaboratory = "Sagebow Valley forage bench"\n{more}\n'
        f"[choices]\n{choices}\n"
    )

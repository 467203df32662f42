"""A season of nitrate by flow injection in plain NumPy: read, fitted, judged, written.

Written for this one form alone: straight lines without weights, one check material, no history.
"""

from __future__ import annotations

import csv
import io
import re
from datetime import date
from math import nan, sqrt

import numpy as np

KINDS = ("bag", "duplicate", "check", "standard", "blank", "verification")
BAG, DUPLICATE, CHECK, STANDARD, BLANK, VERIFICATION = range(6)
HOLDS = ("equipment", "reading", "make_up", "standards", "blank", "verification", "column",
         "duplicate", "check", "range")  # fmt: skip
(EQUIPMENT, READING, MAKE_UP, STANDARDS, OF_BLANK, NO_CHECK, _, APART, OFF, RANGE) = (
    1 << n for n in range(10)
)
CAME = ("released", "held", "above range", "waiting", "not read")
NUMBERS = ("known_mg_per_l", "sample_g", "peak", "dilution", "lab_dm_pct", "u_lab_dm_pct")
CODE = re.compile("([A-HJ-NPR-Z]{3})-([0-9]{4}|[1-9][0-9]{4,7})-([0-9]{2})")
LETTERS = {ord(c): str(int(c, 36)) for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"}
ORDINARY = ("release", "release in part", "wait", "hold")


def valid(code):
    found = CODE.fullmatch(code)
    number = int((found[1] + found[2]).translate(LETTERS))
    return found[3] == f"{98 - number * 100 % 97:02d}"


def read(folder):
    """The table by column; what cannot be read is refused."""
    data = (folder / "rows.csv").read_bytes()
    if b"\x00" in data or not data:
        raise ValueError(folder)
    text = data.decode("utf-8-sig")
    lines = [row for row in csv.reader(io.StringIO(text), strict=True) if row]
    names, rows = lines[0], lines[1:]
    if set(map(len, rows)) != {len(names)}:
        raise ValueError(folder)
    cells = dict(zip(names, zip(*rows, strict=True), strict=True))
    c = {name: np.array([float(t) if t else nan for t in cells[name]]) for name in NUMBERS}
    for name in NUMBERS:
        if np.isnan(c[name]).sum() != cells[name].count("") or np.isinf(c[name]).any():
            raise ValueError(name)
    kinds = {name: n for n, name in enumerate(KINDS)}
    c["kind"] = np.array([kinds[t] for t in cells["kind"]], np.int8)
    c["order"] = np.array([int(t) for t in cells["position"]])
    usual = [2 if t == "duplicate" else 1 for t in cells["kind"]]
    c["replicate"] = np.array(
        [int(t) if t else u for t, u in zip(cells["replicate"], usual, strict=True)]
    )
    ids = {name: n for n, name in enumerate(dict.fromkeys(cells["batch"]))}
    c["batch"] = np.array([ids[t] for t in cells["batch"]])
    samples = {name: n for n, name in enumerate(dict.fromkeys(cells["sample"]))}
    c["sample"] = np.array([samples[t] for t in cells["sample"]])
    of_bags = dict.fromkeys(
        t for t, k in zip(cells["sample"], cells["kind"], strict=True) if k in ("bag", "duplicate")
    )
    if not all(map(valid, of_bags)):
        raise ValueError("sample")
    known = {t: date.fromisoformat(t) for t in dict.fromkeys(cells["run_on"])}
    ordinal = np.array([known[t].toordinal() for t in cells["run_on"]])
    _, first = np.unique(c["batch"], return_index=True)
    if (ordinal != ordinal[first][c["batch"]]).any():
        raise ValueError("run_on")
    order = np.lexsort((c["order"], c["batch"]))
    c = {name: values[order] for name, values in c.items()}
    refuse_twice(c)
    days = [known[cells["run_on"][k]] for k in first]
    return c, list(ids), days, list(samples)


def refuse_twice(c):
    if ((np.diff(c["batch"]) == 0) & (np.diff(c["order"]) == 0)).any():
        raise ValueError("position")
    bags = c["kind"] <= DUPLICATE
    keys = (c["replicate"][bags], c["sample"][bags], c["batch"][bags])
    order = np.lexsort(keys)
    if len(order) > 1 and np.logical_and.reduce([np.diff(k[order]) == 0 for k in keys]).any():
        raise ValueError("portion")


def equipment(form, days):
    """Of each day: whether its equipment holds the runs, and the doubt it leaves."""
    seen = {}
    for day in dict.fromkeys(days):
        used = {}
        for one in form["equipment"]:
            before = used.get(one["name"])
            on = one.get("checked_on", date.min)
            was = before.get("checked_on", date.min) if before else date.max
            if before is None or (on < was if was > day else was <= on <= day):
                used[one["name"]] = one
        out = {one["kind"] for one in used.values()} != {"balance", "dispenser", "reagent"}
        for one in used.values():
            out |= "expires" in one and one["expires"] < day
            if one["kind"] == "reagent":
                continue
            out |= (
                abs((day - one["checked_on"]).days) > {"balance": 1, "dispenser": 92}[one["kind"]]
            )
            for should, was in one["checks"]:
                most = one.get("tolerance", abs(should) / 100.0)
                out |= abs(was - should) > most * (1.0 + 1e-9)
        tool = {one["kind"]: one for one in used.values()}
        balance = tool["balance"]
        seen[day] = (
            out,
            sqrt(balance["repeatability"] ** 2 + balance.get("half_width", 0.0) ** 2 / 3.0),
            tool["dispenser"]["half_width"] / sqrt(3.0),
            tool["dispenser"]["repeatability"],
        )
    return (np.array(column) for column in zip(*(seen[day] for day in days), strict=True))


def fit(x, y, batch, count):
    """Straight lines of all batches: scaled QR, one refinement in long double."""
    line = {name: np.full(count, nan) for name in ("a", "b", "s", "low", "high")}
    line |= {"root": np.full((count, 2, 2), nan), "df": np.zeros(count)}
    line["ok"] = np.zeros(count, bool)
    n_of = np.bincount(batch, minlength=count)
    starts = np.cumsum(n_of) - n_of
    for n in np.unique(n_of[n_of >= 2]):
        which = np.flatnonzero(n_of == n)
        rows = starts[which][:, None] + np.arange(n)
        xs, ys = x[rows], y[rows]
        design = np.stack([np.ones_like(xs), xs], axis=-1)
        size = np.abs(design).max(axis=1)
        scaled = design / size[:, None, :]
        q, r = np.linalg.qr(scaled)
        pivots = np.abs(np.diagonal(r, axis1=1, axis2=2))
        ok = pivots.min(axis=1) >= n * np.finfo(float).eps * pivots.max(axis=1)
        r = np.where(ok[:, None, None], r, np.eye(2))
        qt = q.swapaxes(1, 2)
        beta = np.linalg.solve(r, qt @ ys[..., None])
        left = ys[..., None] - scaled.astype(np.longdouble) @ beta
        beta = (beta + np.linalg.solve(r, qt @ left.astype(float)))[..., 0] / size
        fitted = (design.astype(np.longdouble) @ beta.astype(np.longdouble)[..., None])[..., 0]
        residuals = (ys - fitted).astype(float)
        line["a"][which], line["b"][which] = beta.T
        line["root"][which] = np.linalg.inv(r) / size[..., None]
        line["s"][which] = np.sqrt((residuals**2).sum(axis=1) / (n - 2))
        line["low"][which] = np.where(xs > 0, xs, np.inf).min(axis=1)
        line["high"][which], line["df"][which], line["ok"][which] = xs.max(axis=1), n - 2, ok
    return line


def bad_standards(line, x, y, batch, count):
    order = np.lexsort((x, batch))
    xs, ys, of = x[order], y[order], batch[order]
    new = np.ones(len(xs), bool)
    new[1:] = (np.diff(xs) != 0) | (np.diff(of) != 0)
    level = np.cumsum(new) - 1
    means = np.bincount(level, ys) / np.bincount(level)
    strength, of = xs[new], of[new]
    bad = ~line["ok"] | (np.bincount(of[strength > 0], minlength=count) < 5)
    bad[of[1:][(np.diff(of) == 0) & (np.diff(means) <= 0)]] = True
    off = 100.0 * ((y - line["a"][batch]) / line["b"][batch] / x - 1.0)
    most = np.where(x <= line["low"][batch], 30.0, 10.0)
    bad[batch[(x > 0) & ~(np.abs(off) <= most)]] = True
    return bad


def read_off(line, peak, batch):
    """Amount, and its doubt by signal and by the two directions of the curve."""
    amount = (peak - line["a"][batch]) / line["b"][batch]
    scale, root = line["s"][batch] / line["b"][batch], line["root"][batch]
    one = -scale * (root[:, 0, 0] + amount * root[:, 1, 0])
    other = -scale * (root[:, 0, 1] + amount * root[:, 1, 1])
    return amount, scale, one, other


def blanks(line, c, rows, dilution, count):
    batch = c["batch"][rows]
    n = np.bincount(batch, minlength=count)
    amount, signal, one, other = read_off(line, c["peak"][rows], batch)

    def mean(values):
        return np.bincount(batch, values, minlength=count) / n

    value, one, other = mean(amount), mean(one), mean(other)
    signal = np.sqrt(mean(signal**2) / n)
    scatter = np.sqrt(mean((amount - value[batch]) ** 2) / (n - 1.0))
    wide = (n > 1) & (scatter > np.sqrt(signal**2 + one**2 + other**2))
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, batch, dilution[rows])
    np.maximum.at(high, batch, dilution[rows])
    parts = [np.where(wide, 0.0, part) for part in (signal, one, other)]
    return value, (*parts, np.where(wide, scatter, 0.0)), low, n - 1.0, low < high, n > 0


def between_checks(line, c, rows):
    """Rows that have no good check on both sides."""
    n = len(c["batch"])
    amount = (c["peak"][rows] - line["a"][c["batch"][rows]]) / line["b"][c["batch"][rows]]
    good = np.zeros(n + 1, bool)
    good[rows] = np.abs(100.0 * (amount / c["known_mg_per_l"][rows] - 1.0)) <= 10.0
    mark = np.zeros(n, bool)
    mark[rows] = True
    here, batch = np.arange(n), np.append(c["batch"], -1)
    before = np.maximum.accumulate(np.where(mark, here, -1))
    after = np.minimum.accumulate(np.where(mark, here, n)[::-1])[::-1]
    lost = (batch[before] == c["batch"]) & ~good[before]
    return lost | (batch[after] != c["batch"]) | ~good[after]

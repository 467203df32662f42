"""The second half of the plain season: portions, bags, decisions, tables."""

from __future__ import annotations

import csv
import io
import tomllib
from math import isnan

import numpy as np

from benchmarks.baselines import season as plain

VERDICTS = ("release", "release in part", "wait", "hold")
RESULTS = ("batch", "run_on", "sample", "came", "nitrate_n_mg_per_kg", "u_mg_per_kg", "df",
           "beyond", "limit_mg_per_kg", "raw_mg_per_kg", "portions", "held_by")  # fmt: skip
BATCHES = ("batch", "run_on", "verdict", "bags", "released", "held", "beyond", "waiting",
           "residual_sd", "blank_mg_per_l", "held_by")  # fmt: skip
REPEAT_SHARE, PLANNING_DF = 0.5, 8.0
FACTOR = {2: 2.8, 3: 3.3, 4: 3.6}


def season(folder, into):
    """Read, judge and write the season of a folder."""
    form = tomllib.loads((folder / "season.toml").read_text(encoding="utf-8"))
    c, ids, days, samples = plain.read(folder)
    found = judge(form, c, days)
    write(into, found, ids, days, samples)


def judge(form, c, days):
    count, volume = len(days), form["choices"]["extract_volume_ml"]
    out, balance, setting, dispensing = plain.equipment(form, days)
    dilution = np.where(np.isnan(c["dilution"]), 1.0, c["dilution"])
    use, wrong = usable(c)
    batch_bits = np.where(out, plain.EQUIPMENT, 0)
    kinds = np.zeros((len(plain.KINDS), count), int)
    np.add.at(kinds, (c["kind"][use], c["batch"][use]), 1)
    short = ((kinds[plain.STANDARD] < 5) | (kinds[plain.BLANK] < 1) | (kinds[plain.CHECK] < 1)
             | (kinds[plain.VERIFICATION] < 2))  # fmt: skip
    batch_bits[short] |= plain.MAKE_UP

    def rows_of(kind):
        return np.flatnonzero(use & (c["kind"] == kind))

    with np.errstate(invalid="ignore", divide="ignore"):
        std = rows_of(plain.STANDARD)
        x, y, of = c["known_mg_per_l"][std], c["peak"][std], c["batch"][std]
        line = plain.fit(x, y, of, count)
        blank, blank_parts, blank_dilution, blank_df, several, there = plain.blanks(
            line, c, rows_of(plain.BLANK), dilution, count
        )
        ready = line["ok"] & ~(there & (several | (line["df"] == 0)))
        bad = plain.bad_standards(line, x, y, of, count) | ~ready
        batch_bits[bad] |= plain.STANDARDS
        batch_bits[ready & (blank > line["low"])] |= plain.OF_BLANK
        split = plain.between_checks(line, c, rows_of(plain.VERIFICATION)) & use
        split &= ready[c["batch"]]
        rows = np.flatnonzero(use & (c["kind"] <= plain.CHECK) & (ready & there)[c["batch"]])
        p = portions(c, rows, line, blank, blank_parts, blank_dilution, dilution, volume,
                     balance, setting, dispensing)  # fmt: skip
        batch_bits[off_value(form, c, rows_of(plain.CHECK), p)] |= plain.OFF
        return bags(c, p, wrong, split, batch_bits, line, blank, blank_dilution, blank_df,
                    dilution, count)  # fmt: skip


def usable(c):
    """Rows with every reading they need, and rows with a wrong one."""
    sample = c["kind"] <= plain.CHECK
    strength = (c["kind"] == plain.STANDARD) | (c["kind"] == plain.VERIFICATION)
    diluted = ~np.isnan(c["dilution"]) & (sample | (c["kind"] == plain.BLANK))
    wrong = sample & ~((c["sample_g"] >= 0.01) & (c["sample_g"] <= 10.0))
    wrong |= strength & ~(c["known_mg_per_l"] >= 0.0)
    wrong |= np.isnan(c["peak"])
    wrong |= diluted & ~((c["dilution"] >= 1.0) & (c["dilution"] <= 10_000.0))
    return ~wrong, wrong


def portions(c, rows, line, blank, blank_parts, blank_dilution, dilution, volume, balance,
             setting, dispensing):  # fmt: skip
    """Portions with their doubt: own parts first, then those a batch shares."""
    b, d, m = c["batch"][rows], dilution[rows], c["sample_g"][rows]
    amount, signal, one, other = plain.read_off(line, c["peak"][rows], b)
    per, db = volume / m, blank_dilution[b]
    left = d * amount - db * blank[b]
    value = left * volume / m
    blank_signal, blank_one, blank_other, blank_scatter = (part[b] for part in blank_parts)
    own = [d * per * signal, value / m * balance[b], left / m * dispensing[b]]
    shared = [
        per * (d * one - db * blank_one),
        per * (d * other - db * blank_other),
        db * per * blank_signal,
        db * per * blank_scatter,
        left / m * setting[b],
    ]
    above, below = ~(amount <= line["high"][b]), amount < line["low"][b]
    limit = np.where(above, line["high"][b], line["low"][b])
    edge = (d * limit - db * blank[b]) * volume / m
    return {"rows": rows, "read": amount, "value": value, "own": own, "shared": shared,
            "above": above, "below": below, "edge": edge}  # fmt: skip


def off_value(form, c, rows, p):
    """Batches whose check sample lies beyond three SDs of its value."""
    material = form["check_material"][0]
    value = np.full(len(c["batch"]), np.nan)
    value[p["rows"]] = p["value"]
    b = c["batch"][rows]
    n = np.bincount(b)
    found = 100.0 * (np.bincount(b, value[rows]) / n) / material["lab_dm_pct"]
    z = (found - material["assigned"]["nitrate_n"]) / material["between_runs"]["nitrate_n"]
    return np.flatnonzero((n > 0) & ~(np.abs(z) <= 3.0))


def bags(c, p, wrong, split, batch_bits, line, blank, blank_dilution, blank_df, dilution, count):
    """The portions of each bag together, brought to dry matter and decided."""
    every = np.flatnonzero(c["kind"] <= plain.DUPLICATE)
    key = c["batch"][every] * (c["sample"].max() + 1) + c["sample"][every]
    _, first, group = np.unique(key, return_index=True, return_inverse=True)
    rank = np.empty(len(first), int)
    rank[np.argsort(first)] = np.arange(len(first))
    group, starts = rank[group], every[np.sort(first)]
    total = len(starts)
    batch, sample = c["batch"][starts], c["sample"][starts]
    bits = np.zeros(total, int)
    bits[group[wrong[every]]] |= plain.READING
    bits[group[split[every]]] |= plain.NO_CHECK
    dm, u_dm = np.full(total, np.nan), np.zeros(total)
    known = ~np.isnan(c["lab_dm_pct"][every])
    dm[group[known]] = c["lab_dm_pct"][every[known]]
    u_dm[group[known]] = np.nan_to_num(c["u_lab_dm_pct"][every[known]])
    if (dm[group[known]] != c["lab_dm_pct"][every[known]]).any():
        raise ValueError("lab_dm_pct")

    of = np.full(len(c["batch"]), -1)
    of[every] = group
    own = c["kind"][p["rows"]] <= plain.DUPLICATE
    rows, g = p["rows"][own], of[p["rows"][own]]
    value, above, below, edge = (p[name][own] for name in ("value", "above", "below", "edge"))
    b = c["batch"][rows]
    whole = p["read"][own] * dilution[rows]
    share = np.where(whole > 0, 100.0 * (blank * blank_dilution)[b] / whole, np.inf)
    bits[g[(blank > line["low"] / 2.0)[b] & (share > 10.0)]] |= plain.OF_BLANK

    n = np.bincount(g, minlength=total)
    to = 100.0 / np.where(np.isnan(dm), 100.0, dm)
    level = np.abs(np.bincount(g, value, minlength=total) / n * to)
    between = 2.0 * np.power(np.where(level > 0, level / 1e6, 1.0), -0.15) * (level > 0)
    repeat_pct = REPEAT_SHARE * between
    bias_pct = np.sqrt(between**2 - repeat_pct**2)
    order = np.lexsort((value, g))
    ends = np.cumsum(n)
    some = n > 0
    spread = np.zeros(total)
    judged = value * to[g]
    spread[some] = judged[order[ends[some] - 1]] - judged[order[(ends - n)[some]]]
    factor = np.zeros(total)
    for portions_of, most in FACTOR.items():
        factor[n == portions_of] = most
    any_above = np.bincount(g[above], minlength=total) > 0
    differ = (n > 1) & ~any_above & ~(spread <= factor * repeat_pct / 100.0 * level)
    place = np.empty(len(g), int)
    place[order] = np.arange(len(g)) - np.repeat(ends - n, n)
    size = n[g]
    middle = ((size - 1) // 2 <= place) & (place <= size // 2)
    weight = np.where(
        (differ & (n >= 4))[g], middle / (size // 2 - (size - 1) // 2 + 1), 1.0 / size
    )
    bits[differ & (n < 4)] |= plain.APART

    mean = np.bincount(g, weight * value, minlength=total)
    square = [np.bincount(g, (weight * one[own]) ** 2, minlength=total) for one in p["own"]]
    shared = [np.bincount(g, weight * one[own], minlength=total) ** 2 for one in p["shared"]]
    top = np.full(total, -np.inf)
    np.maximum.at(top, g[below], edge[below])
    is_below = ~any_above & np.isfinite(top) & ((n == 1) | (mean < top))
    limit = np.where(is_below, top, np.nan)
    over = np.flatnonzero(above)
    over = over[np.argsort(c["replicate"][rows[over]], kind="stable")]
    mean[g[over]], limit[g[over]] = value[over], edge[over]

    at = np.where(any_above | is_below, 0.0, np.abs(mean * to))
    bias = (bias_pct / 100.0 * at) ** 2
    repeat = (repeat_pct / 100.0 * at) ** 2 / n
    of_curve = (square[0] + shared[0] + shared[1] + shared[2]) * to**2
    scatter = shared[3] * to**2
    dried = (mean * to / dm * u_dm) ** 2
    variance = of_curve + scatter + (square[1] + square[2] + shared[4]) * to**2
    variance += bias + repeat + dried
    rests = np.where(of_curve > 0, of_curve**2 / line["df"][batch], 0.0)
    rests += np.where(scatter > 0, scatter**2 / blank_df[batch], 0.0)
    rests += (bias**2 + repeat**2) / PLANNING_DF
    worked = some & ~np.isnan(dm)
    found = np.where(worked, 100.0 * mean / dm, np.nan)
    bits[worked & ~any_above & ~((found >= 0) & (found <= 1e6))] |= plain.RANGE
    bits |= batch_bits[batch]
    came = np.full(total, 4)
    came[np.isnan(dm)] = 3
    came[worked] = np.where(any_above, 2, 0)[worked]
    came[bits != 0] = 1
    return {
        "batch": batch, "sample": sample, "value": found, "u": np.sqrt(variance),
        "df": variance**2 / rests, "limit": np.where(worked, 100.0 * limit / dm, np.nan),
        "above": any_above, "below": is_below, "n": n, "came": came, "bits": bits,
        "verdict": verdicts(batch, came, np.isnan(dm), count), "batch_bits": batch_bits,
        "s": line["s"], "blank": blank, "worked": worked,
    }  # fmt: skip


def verdicts(batch, came, waits, count):
    def some(which):
        return np.bincount(batch[which], minlength=count) > 0

    released, held, beyond, waiting = some(came == 0), some(came == 1), some(came == 2), some(waits)
    open_ones = np.where(waiting, 2, 1)
    without = np.where(beyond | some(waits & (came != 1)), open_ones, 3)
    return np.where(released, np.where(held | beyond | waiting, 1, 0), without)


def named(bits):
    texts = {one: " ".join(name for n, name in enumerate(plain.HOLDS) if one >> n & 1)
             for one in np.unique(bits).tolist()}  # fmt: skip
    return [texts[one] for one in bits.tolist()]


def or_nothing(values, where):
    kept = np.where(where, values, np.nan).tolist()
    return [None if isnan(one) else one for one in kept]


def write(into, f, ids, days, samples):
    """Both tables."""
    days = [str(day) for day in days]
    open_one = f["came"] != 1
    ordinary = open_one & ~f["above"] & ~f["below"]
    batch = f["batch"].tolist()
    with np.errstate(invalid="ignore"):
        df = np.where(np.isinf(f["df"]), np.nan, f["df"])
    rows = zip(
        [ids[b] for b in batch],
        [days[b] for b in batch],
        [samples[s] for s in f["sample"].tolist()],
        [plain.CAME[k] for k in f["came"].tolist()],
        or_nothing(f["value"], ordinary),
        or_nothing(f["u"], open_one & f["worked"] & ~f["above"]),
        or_nothing(df, ordinary & f["worked"]),
        np.where(f["above"], "above", np.where(f["below"], "below", "")).tolist(),
        or_nothing(f["limit"], open_one),
        or_nothing(f["value"], ~ordinary),
        f["n"].tolist(),
        named(f["bits"]),
        strict=True,
    )
    save(into / "season-results.csv", RESULTS, rows)
    every = np.ones(len(days), bool)
    counts = [np.bincount(f["batch"], minlength=len(days))]
    counts += [np.bincount(f["batch"][f["came"] == k], minlength=len(days)) for k in range(4)]
    rows = zip(
        ids,
        days,
        [VERDICTS[v] for v in f["verdict"].tolist()],
        *(one.tolist() for one in counts),
        or_nothing(f["s"], every),
        or_nothing(f["blank"], every),
        named(f["batch_bits"]),
        strict=True,
    )
    save(into / "season-batches.csv", BATCHES, rows)


def save(path, columns, rows):
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    path.write_text(out.getvalue(), encoding="utf-8")

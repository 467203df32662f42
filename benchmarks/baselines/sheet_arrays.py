"""The whole sheet of alfalfa samples in plain NumPy, worked in blocks that stay in the cache."""

from __future__ import annotations

import numpy as np

LB_PER_KG = 1 / 0.45359237
BLOCK = 1 << 14


def whole(columns):
    """TDN, energies, RFV, RFQ, USDA classes and broken rules of each sample."""
    n = len(columns["adf"])
    names = ("tdn", "de", "me", "nem", "neg", "nel", "ddm", "dmi_bw", "rfv", "rfq")
    out = {name: np.empty(n) for name in names}
    grades = {
        name: np.empty(n, np.int8)
        for name in ("adf", "ndf", "rfv", "tdn", "cp", "headline", "agree")
    }
    flags = np.empty(n, np.uint16)
    with np.errstate(divide="ignore", invalid="ignore"):
        for start in range(0, n, BLOCK):
            part = slice(start, start + BLOCK)
            c = {name: column[part] for name, column in columns.items()}
            derive(c, out, part)
            place(c, out["rfv"][part], grades, part)
            flags[part] = judge(c)
    return {**out, **{f"grade_{k}": v for k, v in grades.items()}, "flags": flags}


def derive(c, out, part):
    ndfn = c["ndf"] - c["ndicp"]
    nfc = 100.0 - (ndfn + c["cp"] + c["fat"] + c["ash"])
    tdn = out["tdn"][part]
    tdn[:] = 0.98 * nfc + 0.93 * c["cp"] + 0.97 * 2.25 * np.maximum(c["fat"] - 1.0, 0.0)
    tdn += ndfn * c["ndfd48"] / 100.0
    tdn -= 7.0
    de, me = out["de"][part], out["me"][part]
    np.multiply(tdn, 0.04409, out=de)
    np.multiply(de, 0.82, out=me)
    out["nem"][part] = ((0.0105 * me - 0.138) * me + 1.37) * me - 1.12
    out["neg"][part] = np.maximum(((0.0122 * me - 0.174) * me + 1.42) * me - 1.65, 0.0)
    out["nel"][part] = (0.01114 * tdn - 0.054) * LB_PER_KG
    ddm, dmi = out["ddm"][part], out["dmi_bw"][part]
    ddm[:] = 88.9 - 0.779 * c["adf"]
    np.divide(120.0, c["ndf"], out=dmi)
    out["rfv"][part] = ddm * dmi / 1.29
    intake = dmi + (c["ndfd48"] - 45.0) * 0.374 / 1350.0 * 100.0
    out["rfq"][part] = intake * tdn / 1.23


def place(c, rfv, grades, part):
    western = 82.38 - 0.7515 * c["adf"]
    western[(c["adf"] < 15) | (c["adf"] > 60)] = np.nan
    found = {
        "adf": worse_above(c["adf"], 27.0, 29.0, 32.0, 35.0),
        "ndf": worse_above(c["ndf"], 34.0, 36.0, 40.0, 44.0),
        "rfv": worse_below(rfv, 185.0, 170.0, 150.0, 130.0),
        "tdn": worse_below(western, 62.0, 60.5, 58.0, 56.0),
        "cp": worse_below(c["cp"], 22.0, 20.0, 18.0, 16.0),
    }
    found["tdn"][(western < 60.5) & (western > 60.0)] = -1
    agree = np.ones(len(rfv), bool)
    for name, code in found.items():
        grades[name][part] = code
        agree &= code == found["adf"]
    grades["headline"][part] = found["rfv"]
    grades["agree"][part] = agree


def worse_above(values, *edges):
    code = np.zeros(len(values), np.int8)
    for edge in edges:
        code += values > edge
    code[np.isnan(values)] = -1
    return code


def worse_below(values, *edges):
    code = np.zeros(len(values), np.int8)
    for edge in edges:
        code += values < edge
    code[np.isnan(values)] = -1
    return code


def judge(c):
    """One bit per rule, P1 lowest."""
    dm, cp, adf, ndf, ash = c["dm"], c["cp"], c["adf"], c["ndf"], c["ash"]
    ca, p, mg, k = c["ca"], c["p"], c["mg"], c["k"]
    flags = np.zeros(len(dm), np.uint16)

    def broken(bit, where):
        flags[where] |= np.uint16(1 << bit)

    broken(0, (dm <= 0) | (dm > 100) | (dm < 80) | (dm > 95))
    broken(1, adf >= ndf)
    broken(2, cp + ndf + c["fat"] + ash - c["ndicp"] > 100.0)
    broken(3, (c["adicp"] > c["ndicp"]) | (c["ndicp"] > cp))
    broken(5, ca + p + mg + k > ash)
    broken(7, (ca < 0.8) | ~(ca / p >= 2.0))
    ratio = ndf / adf
    broken(8, (ratio < 1.15) | (ratio > 1.5))
    broken(9, (cp < 8) | (cp > 28))
    broken(10, (p < 0.05) | (p > 0.5) | (ca < 0.1) | (ca > 2.5) | (k < 0.3) | (k > 4.5)
           | (mg < 0.05) | (mg > 0.6))  # fmt: skip
    broken(11, (ash < 3) | (ash > 14))
    return flags

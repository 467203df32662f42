"""Run rules on many control charts in plain NumPy: one window over each row for each rule."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view


def limits(history):
    """Center and SD of each chart from its history, shape (charts, 1)."""
    return history.mean(axis=1, keepdims=True), history.std(axis=1, ddof=1, keepdims=True)


def counted(hits, count, of):
    """Where a hit is the one that makes ``count`` of the last ``of``."""
    padded = np.pad(hits, ((0, 0), (of - 1, 0)))
    return hits & (sliding_window_view(padded, of, axis=1).sum(axis=-1) >= count)


def in_a_row(hits, count):
    padded = np.pad(hits, ((0, 0), (count - 1, 0)))
    return sliding_window_view(padded, count, axis=1).all(axis=-1)


def fired(values, history):
    """Rule -> where it fires, shape (charts, results)."""
    center, sd = limits(history)
    z = (values - center) / sd
    step = np.diff(z, axis=1)
    start = np.zeros((len(z), 1), bool)
    up, down = np.hstack([start, step > 0]), np.hstack([start, step < 0])
    turns = np.hstack([start, start, step[:, 1:] * step[:, :-1] < 0])

    def beyond(limit, count, of):
        return counted(z > limit, count, of) | counted(z < -limit, count, of)

    def one_side(count):
        return in_a_row(z > 0, count) | in_a_row(z < 0, count)

    size = np.abs(z)
    return {
        "one_beyond_3": size > 3,
        "one_beyond_2": size > 2,
        "two_beyond_2": beyond(2, 2, 2),
        "four_beyond_1": beyond(1, 4, 4),
        "ten_on_a_side": one_side(10),
        "nine_on_a_side": one_side(9),
        "eight_on_a_side": one_side(8),
        "two_of_three_beyond_2": beyond(2, 2, 3),
        "four_of_five_beyond_1": beyond(1, 4, 5),
        "six_trending": in_a_row(up, 5) | in_a_row(down, 5),
        "fourteen_alternating": in_a_row(turns, 12),
        "fifteen_within_1": in_a_row(size < 1, 15),
        "eight_outside_1": in_a_row(size > 1, 8),
        "this_and_last_beyond_2": in_a_row(size > 2, 2),
    }

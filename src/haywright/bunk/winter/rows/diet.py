"""What the diet may hold: held-back hay, forage, grain and the like, fat, starch, sulfur."""

from __future__ import annotations

import numpy as np

from haywright.bunk.hazards import feed_bars
from haywright.bunk.hazards.sulfur import tolerated
from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.program import Floats
from haywright.bunk.winter.minerals import contents
from haywright.bunk.winter.question import WEEK
from haywright.bunk.winter.rows.making import One


def nitrate_rows(one: One) -> None:
    """Lots held back for nitrate share one tolerance: the sum of amount / share fits the diet.

    Each share was found with the rest of the ration at what is known of it; two held-back lots
    together would each count the other as clean. So they compete.
    """
    share = one.held.share
    back = (share > 0) & (share < 1)
    if back.any():
        rows = one.block("nitrate", one.weeks, upper=0.0)
        one.of_feeds(rows, np.where(back, 1.0 / np.where(back, share, 1.0), 0.0) - 1.0)
    for k, hay in enumerate(one.making.q.hays):
        cap = one.making.checks.caps.get((one.herd.name, hay.name))
        if cap is not None:
            rows = one.block(f"step_up:{hay.name}", one.weeks, upper=0.0)
            mine = np.zeros(len(one.feeds))
            mine[k] = 1.0
            one.of_feeds(rows, mine[None, :] - cap[:, None])


def forage_rows(one: One) -> None:
    """Least forage."""
    if one.held.forage.any():
        rows = one.at_least("forage", WEEK * one.held.forage)
        one.of_feeds(rows, np.array([[float(feed.forage) for feed in one.feeds]]))
        one.add(rows, one.columns.hungry, one.held.forage)


def kind_rows(one: One) -> None:
    """The most of all feeds that carry something, together: grain, urea, whole cottonseed."""
    held, feeds = one.held, one.feeds
    for kind in sorted({carried for feed in feeds for carried in feed.carries}):
        carried = np.array([[float(kind in feed.carries) for feed in feeds]])
        most = feed_bars.limit_of(kind)
        if "of_weight" in most:
            _at_most(one, f"most:{kind}", carried, WEEK * held.weight * most["of_weight"] / 100.0)
        if "of_dm" in most:
            rows = one.block(f"most:{kind}", one.weeks, upper=0.0)
            one.of_feeds(rows, carried - most["of_dm"] / 100.0)


def _at_most(one: One, kind: str, values: Floats, most: Floats) -> None:
    """Rows of at most so much a head and week."""
    rows = one.block(kind, one.weeks, upper=one.held.head * most)
    one.of_feeds(rows, values)
    one.add(rows, one.columns.head_sold, most)


def feed_rows(one: One) -> None:
    """Least and most of a feed, as its tag or its seller says."""
    for k, feed in enumerate(one.feeds):
        mine = np.zeros((1, len(one.feeds)))
        mine[0, k] = 1.0
        if feed.least is not None and one.held.may[:, k].all():
            rows = one.at_least(f"feed_least:{feed.name}", np.full(one.weeks, WEEK * feed.least))
            one.of_feeds(rows, mine)
        if feed.most is not None:
            _at_most(one, f"feed_most:{feed.name}", mine, np.full(one.weeks, WEEK * feed.most))


def share_rows(one: One) -> None:
    """Fat of the diet, and what else a person asked to be kept low, such as starch."""
    asked = {"fat": float(feed_bars.diet_limit("fat")["most"]), **one.herd.most}
    for name, most in asked.items():
        bound = RationFeed("bound", {name: most}).holds(name) or 0.0
        # An unknown content is no reason to think it is low, nor to leave out the feed.
        content = np.nan_to_num(contents(one.feeds, name), nan=bound)
        if (content > bound).any():
            rows = one.block(f"share:{name}", one.weeks, upper=0.0)
            one.of_feeds(rows, (content - bound)[None, :])


def sulfur_rows(one: One) -> None:
    """Sulfur of feed and water together, where that of every feed is known."""
    content = contents(one.feeds, "s")
    if np.isnan(content).any():
        return
    most = one.making.checks.sulfur.get(one.herd.name)
    bound = (np.full(one.weeks, tolerated(100.0)) if most is None else most)[:, None] / 100.0
    drunk = WEEK * one.held.water_s
    if not drunk and not (content > bound).any():
        return
    rows = one.block("sulfur", one.weeks, upper=-one.held.head * drunk)
    one.of_feeds(rows, content[None, :] - bound)
    one.add(rows, one.columns.head_sold, -drunk)
    if one.making.short is not None:
        one.add(rows, one.columns.hungry, -one.held.water_s)

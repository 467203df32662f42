"""Ground sample: what a batch used of each bag, what is left, what a rerun takes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from haywright.bench.batch import Batch, Position, PositionKind
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import BAG_KINDS, Method
from haywright.measure.message import Amount, Message, message

_KINDS = (*BAG_KINDS, PositionKind.SPIKE)


def used_g(position: Position) -> float:
    """Powder that one position used [g]; 0 where none was weighed."""
    read = position.readings
    if position.has("sample_g"):
        return read["sample_g"]
    if position.has("sample_mg"):
        return read["sample_mg"] / 1000.0
    if position.has("dish_g", "dish_powder_g"):
        return max(read["dish_powder_g"] - read["dish_g"], 0.0)
    return 0.0


def used_by_bag(batch: Batch, method: Method) -> dict[str, float]:
    """Bag -> powder the batch used of it [g], void portions and spikes among it."""
    out: dict[str, float] = {}
    for one in batch.of(*_KINDS) if method.uses_powder else ():
        out[one.sample] = out.get(one.sample, 0.0) + used_g(one)
    return out


def left(batch: Batch, method: Method) -> dict[str, float]:
    """Bag -> powder left after the batch [g], of the bags whose powder was written down."""
    used = used_by_bag(batch, method)
    return {bag: on_hand - used.get(bag, 0.0) for bag, on_hand in batch.powder.items()}


def needed_g(batch: Batch, method: Method, bag: str) -> float:
    """Powder that running a bag again takes [g]: as many portions as it had, as large as those."""
    if not method.uses_powder:
        return 0.0
    return sum(used_g(one) for one in batch.of(*BAG_KINDS) if one.sample == bag)


def budget(batch: Batch, method: Method, bags: Sequence[str]) -> tuple[Message, ...]:
    """For each bag that is asked to be run again: whether its powder is enough.

    Parameters
    ----------
    batch, method
        What was run.
    bags
        Bags of which something has to be run again.
    """
    return tuple(_budget(batch, method, bags)) if method.uses_powder else ()


def _budget(batch: Batch, method: Method, bags: Sequence[str]) -> Iterator[Message]:
    after, keep = left(batch, method), usual_limit(batch, "powder_kept_g")
    unknown = tuple(bag for bag in bags if bag not in after)
    for bag in bags:
        if bag not in after:
            continue
        takes = needed_g(batch, method, bag)
        spare = after[bag] - keep.value
        key = "none" if after[bag] < takes else "kept" if spare < takes else "enough"
        yield message(
            f"bench_more.powder.{key}",
            bag=bag,
            left=Amount(max(after[bag], 0.0), "g", digits=1),
            takes=Amount(takes, "g", digits=1),
            keep=Amount(keep.value, "g", digits=0),
        )
    if unknown:
        yield message("bench_more.powder.unknown", bags=unknown)

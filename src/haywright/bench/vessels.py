"""Methods that weigh what stays in a vessel: fiber in crucibles or filter bags, ash, fat.

The determinations built on them are a few lines each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from haywright.bench import gravimetry as eq
from haywright.bench.batch import Position, PositionKind
from haywright.bench.chain import Known, Step, follow
from haywright.bench.desk import Desk
from haywright.bench.findings import Control, failed, passed
from haywright.bench.given_limits import usual_limit
from haywright.bench.pattern import SAMPLES, Column, Lead, Method, Prepared, Rising
from haywright.measure.basis import to_dry_matter
from haywright.measure.message import Amount, message
from haywright.measure.register import equation

_K = PositionKind
_VESSEL = (*SAMPLES, _K.BLANK)
GRAVIMETRIC = {_K.BLANK: 2, _K.CHECK: 1, _K.DUPLICATE: 1}


@equation(
    name="What an empty vessel gained",
    output=("blank_gain_g", "g", ""),
    source="mass-balance",
    mark="definition",
    units={"before_g": "g", "after_g": "g"},
)
def gained(before_g: float, after_g: float) -> float:
    """Change of an empty vessel through the procedure, with its sign.

    Parameters
    ----------
    before_g, after_g
        Vessel before and after [g].
    """
    return after_g - before_g


def vessel_column(name: str) -> Column:
    """A vessel's mass [g], needed of samples and blanks alike."""
    return Column(name, _VESSEL, least=0.1, most=1000.0, instrument="balance")


def may_be_read(name: str) -> Column:
    """A vessel's mass [g] that need not be read."""
    return Column(name, (), may=_VESSEL, least=0.1, most=1000.0, instrument="balance")


def portion_column(least: float = 0.05, most: float = 20.0) -> Column:
    """The portion weighed in.

    Parameters
    ----------
    least, most
        Beyond these it is likely written in another unit [g].
    """
    return Column("sample_g", SAMPLES, least=least, most=most, instrument="balance")


def on_dry_matter(*names: str) -> tuple[Step, ...]:
    """Steps from "x_an" to "x" on dry matter, one for each name."""
    return tuple(Step(to_dry_matter, {"x": f"{n}_an", "dm": "lab_dm"}, n) for n in names)


def blank_change(
    desk: Desk, name: str, before: str, after: str, rows: Sequence[Position]
) -> tuple[dict[str, Known], list[Control]]:
    """Mean change of empty vessels between two weighings, judged against what is usual."""
    step = Step(gained, {"before_g": before, "after_g": after}, name)
    changes = [follow([step], desk.readings(one))[name] for one in rows if one.has(before, after)]
    if not changes:
        return {}, []
    mean = desk.mean(name, changes)
    return {name: mean}, list(_judged(desk, mean, rows))


def _judged(desk: Desk, mean: Known, rows: Sequence[Position]) -> Iterator[Control]:
    most = usual_limit(desk.batch, "blank_vessel_mg")
    change_mg = mean.value * 1000.0
    said = {
        "change": Amount(change_mg, "mg", digits=1),
        "most": Amount(most.value, "mg", digits=1),
    }
    at = {"positions": tuple(one.order for one in rows), "value": change_mg, "limit": most.value}
    if abs(change_mg) <= most.value:
        yield passed("blank", message("bench.blank.vessels", **said), **at)
    else:
        again = message("bench.rerun.batch_cause_first")
        said_failed = message("bench.blank.vessels_changed", **said)
        yield failed("blank", said_failed, rerun=again, **at)


def _prepare_crucibles(desk: Desk) -> Prepared:
    rows = desk.of(_K.BLANK)
    gain, controls = blank_change(desk, "blank_gain_g", "crucible_g", "crucible_dry_g", rows)
    loss, more = blank_change(desk, "blank_loss_g", "crucible_ash_g", "crucible_dry_g", rows)
    return Prepared(values={**gain, **loss}, controls=(*controls, *more))


def fiber_in_crucibles(method: str, name: str, *, most_g: float) -> Method:
    """Fiber left in a crucible, and ash-free where the crucible was ashed too.

    Parameters
    ----------
    method
        Name of the method.
    name
        Dictionary name of the fiber, such as "adf"; ash-free it has "om" at its end.
    most_g
        Largest portion that is still likely [g].
    """
    free = f"{name}om"
    gained_step = Step(
        eq.share_gained,
        {"before_g": "crucible_g", "after_g": "crucible_dry_g", "blank_g": "blank_gain_g"},
        f"{name}_an",
    )
    lost_step = Step(
        eq.share_lost,
        {"before_g": "crucible_dry_g", "after_g": "crucible_ash_g", "blank_g": "blank_loss_g"},
        f"{free}_an",
    )
    return Method(
        id=method,
        columns=(
            vessel_column("crucible_g"),
            portion_column(most=most_g),
            vessel_column("crucible_dry_g"),
            may_be_read("crucible_ash_g"),
        ),
        rules=(
            Rising("crucible_g", "crucible_dry_g", least="blank_vessel_mg"),
            Rising("crucible_ash_g", "crucible_dry_g", says="bench.reading.not_burnt"),
            Rising("crucible_g", "crucible_ash_g"),
        ),
        portion=(gained_step, lost_step),
        leads=(Lead(f"{name}_an", (name,)), Lead(f"{free}_an", (free,))),
        bag=on_dry_matter(name, free),
        make_up=GRAVIMETRIC,
        equipment=("balance", "oven"),
        prepare=_prepare_crucibles,
    )


def _prepare_filter_bags(desk: Desk) -> Prepared:
    rows = desk.of(_K.BLANK)
    steps = (Step(eq.blank_bag_factor), Step(eq.burnt_off), Step(eq.blank_bag_organic))
    worked = [follow(steps, desk.readings(one)) for one in rows]
    values = {}
    for name in ("blank_bag_factor", "blank_bag_organic"):
        members = [one[name] for one in worked if name in one]
        if members:
            values[name] = desk.mean(name, members)
    return Prepared(values=values)


def fiber_in_filter_bags(method: str, name: str, *, most_g: float) -> Method:
    """Fiber left in a filter bag, and ash-free where bag and fiber were burnt.

    Parameters
    ----------
    method
        Name of the method.
    name
        Dictionary name of the fiber.
    most_g
        Largest portion that is still likely [g].
    """
    free = f"{name}om"
    return Method(
        id=method,
        columns=(
            vessel_column("bag_g"),
            portion_column(most=most_g),
            vessel_column("bag_dry_g"),
            may_be_read("crucible_g"),
            may_be_read("crucible_ash_g"),
        ),
        rules=(Rising("bag_g", "bag_dry_g"), Rising("crucible_g", "crucible_ash_g")),
        portion=(
            Step(eq.fiber_in_bag, gives=f"{name}_an"),
            Step(eq.burnt_off),
            Step(eq.ash_free_fiber_in_bag, gives=f"{free}_an"),
        ),
        leads=(Lead(f"{name}_an", (name,)), Lead(f"{free}_an", (free,))),
        bag=on_dry_matter(name, free),
        make_up=GRAVIMETRIC,
        equipment=("balance", "oven"),
        prepare=_prepare_filter_bags,
    )

"""How hay keeps: losses by storage, the balance of dry matter, moisture at baling, heating.

Losses are single trials. The answer is always low, middle and high with the months and the rain
it holds for, never one number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from haywright.measure.errors import Refused, UnknownName
from haywright.measure.message import Message, message
from haywright.measure.register import equation
from haywright.measure.units import convert
from haywright.sources.tables import load_csv, load_toml
from haywright.stack.lot import Storage, storage
from haywright.stack.packages import Package

DEFAULT_TRIAL = "oklahoma"


@equation(
    name="Dry matter lost = 1 - W_out (1 - M_out)/(W_in (1 - M_in))",
    output=("dm_loss", "%", "dry matter"),
    source="mass-balance",
    mark="definition",
)
def dm_loss(mass_in: Any, moisture_in: Any, mass_out: Any, moisture_out: Any) -> Any:
    """From two weighings with their moistures.

    Parameters
    ----------
    mass_in, mass_out
        Hay put in and taken out [kg as it stands].
    moisture_in, moisture_out
        Their moistures [% as it stands].
    """
    kept = mass_out * (100.0 - moisture_out) / (mass_in * (100.0 - moisture_in))
    return 100.0 * (1.0 - kept)


@equation(
    name="Dry matter lost from dry matter recovered",
    output=("dm_loss", "%", "dry matter"),
    source="mass-balance",
    mark="definition",
)
def dm_loss_from_recovery(dm_recovery: Any) -> Any:
    """From dm_recovery [g/kg of the dry matter put in]."""
    return 100.0 - dm_recovery / 10.0


@equation(
    name="Weight kept = (1 - M_in)(1 - loss)/(1 - M_out)",
    output=("weight_kept", "%", "weight put in"),
    source="mass-balance",
    mark="definition",
)
def weight_kept(moisture_in: Any, moisture_out: Any, dm_loss: Any) -> Any:
    """Weight kept is not dry matter kept.

    Parameters
    ----------
    moisture_in, moisture_out
        Moistures [% as it stands].
    dm_loss
        Loss [% of dry matter].
    """
    return (100.0 - moisture_in) * (100.0 - dm_loss) / (100.0 - moisture_out)


@equation(
    name="Content after storage = before (1 - own loss)/(1 - loss)",
    output=("content_after", "", "of dry matter"),
    source="mass-balance",
    mark="definition",
)
def content_after(content_before: Any, dm_loss: Any, share_lost: Any) -> Any:
    """What is not lost with the dry matter rises: protein, fiber and nitrate.

    Parameters
    ----------
    content_before
        Content [of dry matter, any unit].
    dm_loss
        Loss [% of dry matter].
    share_lost
        Share of the constituent itself that is lost [%].
    """
    return content_before * (100.0 - share_lost) / (100.0 - dm_loss)


@equation(
    name="Hay to start with = need/(1 - loss)",
    output=("hay_to_start", "", "in any one unit of weight"),
    source="mass-balance",
    mark="definition",
)
def hay_to_start(hay_needed: Any, loss: Any) -> Any:
    """Losses are divided out, never added on; also what hay costs by the ton left of a ton.

    Parameters
    ----------
    hay_needed
        What must be left [any one unit of weight, or of money by weight].
    loss
        Loss [%].
    """
    return hay_needed / (1.0 - loss / 100.0)


@equation(
    name="Value lost by a ton = price x loss",
    output=("value_lost", "", "money by ton"),
    source="oklahoma-bae-1716",
    mark="read",
)
def value_lost(hay_price: Any, loss: Any) -> Any:
    """Without the loss of quality: hay_price [money by ton] and loss [%]."""
    return hay_price * loss / 100.0


@equation(
    name="Share of a loss that is saved = (one - other)/one",
    output=("loss_saved", "%", ""),
    source="mass-balance",
    mark="definition",
    units={"loss": "%", "smaller_loss": "%"},
)
def loss_saved(loss: Any, smaller_loss: Any) -> Any:
    """Of two ways of keeping hay: loss [%] and smaller_loss [%]."""
    return 100.0 * (loss - smaller_loss) / loss


@dataclass(frozen=True, slots=True)
class LossRow:
    """One printed loss.

    ``months`` and ``loss`` are the printed spans [months; %, of what ``of`` says]; months are
    ``None`` where the trial names none.
    """

    trial: str
    storage: str
    wrap: str
    hay: str
    months: tuple[float, float] | None
    loss: tuple[float, float]
    of: str
    source: str

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "trial": self.trial,
            "storage": self.storage,
            "wrap": self.wrap,
            "hay": self.hay,
            "months": None if self.months is None else list(self.months),
            "loss_pct": list(self.loss),
            "of": self.of,
            "source": self.source,
        }


def loss_rows(word: str = "") -> list[LossRow]:
    """Printed losses of a way of keeping hay, those of its whole group with them; all without."""
    kept = storage(word) if word else None
    wanted = None if kept is None else {kept.id, kept.group}
    rows = load_csv("storage_losses")
    return [_row(row) for row in rows if wanted is None or row["storage"] in wanted]


def _row(row: dict[str, str]) -> LossRow:
    months = None
    if row["months_least"]:
        months = (float(row["months_least"]), float(row["months_most"]))
    return LossRow(
        row["trial"],
        row["storage"],
        row["wrap"],
        row["hay"],
        months,
        (float(row["loss_low"]), float(row["loss_high"])),
        row["of"],
        row["source"],
    )


@dataclass(frozen=True, slots=True)
class StorageLoss:
    """Dry matter lost in storage.

    Parameters
    ----------
    storage
        How it was kept.
    months
        For how long.
    low, middle, high
        Loss [% of dry matter].
    of
        dry matter, or weight where a trial weighed only.
    source
        Bibliography key.
    notes
        What to know.
    others
        Every other printed loss of this way of keeping hay.
    """

    storage: Storage
    months: float
    low: float
    middle: float
    high: float
    of: str
    source: str
    notes: tuple[Message, ...]
    others: tuple[LossRow, ...]

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "storage": self.storage.id,
            "months": self.months,
            "loss_low_pct": self.low,
            "loss_middle_pct": self.middle,
            "loss_high_pct": self.high,
            "of": self.of,
            "source": self.source,
            "others": [one.to_json() for one in self.others],
        }


def storage_loss(
    word: str, months: float, *, rain: float | None = None, method: str = DEFAULT_TRIAL
) -> StorageLoss:
    """Loss of hay kept in one way for some months.

    Parameters
    ----------
    word
        Way of keeping hay.
    months
        Since baling [months].
    rain
        Rain in a year [m]; places the middle between the two ends where rain reaches the hay.
    method
        Trial whose table is used.

    Raises
    ------
    Refused
        The trial says nothing of this way or so long a time.
    """
    kept = storage(word)
    if not 0 < months < float("inf"):
        raise Refused("months", months, key="stack.positive")
    trials = {one.trial for one in loss_rows()}
    if method not in trials:
        raise UnknownName("method", method, trials)
    rows = [one for one in loss_rows(kept.id) if one.trial == method]
    if not rows:
        speaking = sorted({one.trial for one in loss_rows(kept.id)})
        raise Refused("method", method, ", ".join(speaking), key="stack.keep.trial_silent",
                      storage=kept.name)  # fmt: skip
    near, notes = _rows_at(rows, months)
    low, high = min(one.loss[0] for one in near), max(one.loss[1] for one in near)
    at = 0.5
    if rain is not None and "rain" in kept.wet:
        at = _rain_place(rain)
    elif rain is None and "rain" in kept.wet:
        notes.append(message("stack.keep.rain_decides"))
    if kept.group == "outdoors":
        notes.append(message("stack.keep.most_at_first"))
    others = tuple(one for one in loss_rows(kept.id) if one not in near)
    return StorageLoss(
        kept, months, low, low + at * (high - low), high, near[0].of, near[0].source,
        tuple(notes), others,
    )  # fmt: skip


def _rows_at(rows: Sequence[LossRow], months: float) -> tuple[list[LossRow], list[Message]]:
    timed = [one for one in rows if one.months is not None]
    if not timed:
        return list(rows), [message("stack.keep.no_months")]
    spans = [(one, one.months) for one in timed if one.months is not None]
    inside = [one for one, (first, last) in spans if first <= months <= last]
    if inside:
        return inside, []
    before = [one for one, (_, last) in spans if last < months]
    after = [one for one, (first, _) in spans if first > months]
    if before and after:
        return [*before, *after], [message("stack.keep.between_rows")]
    key = "stack.keep.longer_than_table" if before else "stack.keep.shorter_than_table"
    return before or after, [message(key)]


def _rain_place(rain: float) -> float:
    row = load_toml("rain_and_loss")["rain"]
    little, much = (convert(row[name], row["unit"], "m") for name in ("little", "much"))
    return float(np.clip((rain - little) / (much - little), 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class WeatheredRow:
    """How thick a source found the weathered outside [m], between two printed figures."""

    storage: str
    wrap: str
    low: float
    high: float
    source: str


def weathered_outside(word: str) -> list[WeatheredRow]:
    """Printed thicknesses of the weathered outside for a way of keeping hay; for asking, only."""
    kept = storage(word)
    return [
        WeatheredRow(
            row["storage"],
            row["wrap"],
            convert(row["low"], "in", "m"),
            convert(row["high"], "in", "m"),
            row["source"],
        )
        for row in load_toml("weathered_outside")["rows"]
        if row["storage"] in (kept.id, kept.group)
    ]


@dataclass(frozen=True, slots=True)
class MoistureVerdict:
    """What one source says of a moisture at baling: its ceiling [%] and whether hay is under it."""

    name: str
    label: str
    ceiling: float
    under: bool
    source: str


def moisture_at_baling(moisture: float, package: Package) -> list[MoistureVerdict]:
    """What every source says of a moisture at baling, the lowest ceiling first.

    Parameters
    ----------
    moisture
        Of the hay as baled [%].
    package
        The bale it goes into.
    """
    if not 0 <= moisture <= 100:
        raise Refused("moisture", moisture, key="stack.percent")
    found = []
    for name, table in load_toml("baling_moisture").items():
        ceiling = _ceiling(table["rows"], package)
        if ceiling is not None:
            found.append(
                MoistureVerdict(name, table["name"], ceiling, moisture <= ceiling, table["source"])
            )
    return sorted(found, key=lambda one: one.ceiling)


def moisture_by(name: str, moisture: float, package: Package) -> MoistureVerdict:
    """What one named source says.

    Parameters
    ----------
    name
        Of the source.
    moisture
        Of the hay as baled [%].
    package
        The bale it goes into.
    """
    found = {one.name: one for one in moisture_at_baling(moisture, package)}
    if name not in found:
        raise UnknownName("method", name, found)
    return found[name]


def _ceiling(rows: Sequence[dict[str, Any]], package: Package) -> float | None:
    """The row of this very size, else of the kind."""
    mine = [row for row in rows if row["kind"] == package.kind]
    feet = [round(convert(side, "m", "ft"), 3) for side in package.sides]
    exact = [row for row in mine if row.get("size") == feet]
    general = [row for row in mine if "size" not in row]
    chosen = exact or general
    return float(chosen[0]["high"]) if chosen else None

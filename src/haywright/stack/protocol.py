"""How each form of a lot is sampled, what its result can decide, and what it cannot.

Cured hay and baleage are cored, bale by bale. A standing crop and stalks in the field are cut at
places over the field; that result decides what to do with the crop and never clears bales made
of it later: bales are sampled again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from haywright.measure.errors import Refused
from haywright.measure.message import Message, message
from haywright.stack.lot import Form, Lot

Takes = Literal["cores", "plants"]
Choice = Literal["cut", "wait", "raise_the_bar", "ensile"]
Standing = Literal["under", "close", "over", "not_tested"]
_ORDER: dict[Standing, tuple[Choice, ...]] = {
    "under": ("cut",),
    "close": ("wait", "raise_the_bar", "ensile"),
    "over": ("wait", "raise_the_bar", "ensile"),
    "not_tested": ("wait",),
}
_STEPS: dict[str, tuple[str, ...]] = {
    "cured_hay": ("all_faces", "whole_cores", "seal"),
    "baleage": ("all_faces", "through_film", "tape", "whole_cores", "cold"),
    "standing_crop": ("whole_field", "cutting_height", "parts_apart", "chop", "dry_or_freeze"),
    "cornstalks": ("whole_field", "stalks_grazed", "stalks_confined", "chop", "dry_or_freeze"),
}


@dataclass(frozen=True, slots=True)
class Protocol:
    """How one form is sampled.

    Parameters
    ----------
    form, takes
        The form, and whether cores or plants are taken.
    steps
        What to do, in order.
    bases
        Bases its results are printed on, side by side where there are two.
    decides
        What a result of a standing crop can decide; empty for bales.
    clears_bales
        Whether a result can speak for bales.
    """

    form: Form
    takes: Takes
    steps: tuple[Message, ...]
    bases: tuple[str, ...]
    decides: tuple[Choice, ...]
    clears_bales: bool

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "form": self.form,
            "takes": self.takes,
            "bases": list(self.bases),
            "decides": list(self.decides),
            "clears_bales": self.clears_bales,
        }


def protocol(lot: Lot) -> Protocol:
    """How a lot is sampled. Stalks that are baled are cored like hay."""
    cored = lot.bales is not None
    steps = _STEPS["cured_hay" if cored and lot.form == "cornstalks" else lot.form]
    decides: tuple[Choice, ...] = (
        ("cut", "wait", "raise_the_bar", "ensile") if lot.form == "standing_crop" else ()
    )
    return Protocol(
        form=lot.form,
        takes="cores" if cored else "plants",
        steps=tuple(message(f"stack.step.{step}") for step in steps),
        bases=("as fed", "dry matter") if lot.form == "baleage" else ("dry matter",),
        decides=decides,
        clears_bales=cored,
    )


@dataclass(frozen=True, slots=True)
class StandingChoice:
    """One thing that may be done with a standing crop, and why."""

    choice: Choice
    reason: Message


def after_standing_test(outcome: Standing) -> tuple[StandingChoice, ...]:
    """What may be done with a standing crop after its nitrate test.

    ``outcome`` is how the result stands to the line the person's guide draws: under, close (too
    close to call), over, or not_tested. Whatever is done, bales made of it are sampled again.
    """
    if outcome not in _ORDER:
        raise Refused("outcome", outcome, ", ".join(_ORDER))
    return tuple(StandingChoice(one, message(f"stack.standing.{one}")) for one in _ORDER[outcome])


def standing_never_clears() -> Message:
    """What stands under every result of a crop in the field."""
    return message("stack.standing.never_clears")

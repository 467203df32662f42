"""How much of a hay a group may get in a day: the verdict's share in weight as fed and in bales."""

from __future__ import annotations

from dataclasses import dataclass

from haywright.gate.need import mass_from_dry_matter
from haywright.way.lot import Decision


@dataclass(frozen=True, slots=True)
class HowMuch:
    """The most a group may get of one hay in a day.

    Parameters
    ----------
    share
        Of the day's dry matter, as the verdict gives it for the way it is fed [0 to 1].
    intake
        Dry matter one animal eats in a day [kg].
    dry_matter
        Of the hay as fed [%].
    head
        Animals of the group [count].
    bale
        Mean weight of a bale as it stands [kg]; ``None`` when unknown.
    """

    share: float
    intake: float
    dry_matter: float
    head: int
    bale: float | None

    @property
    def per_head(self) -> float:
        """The most one animal may get [kg/day as fed]."""
        return self.weight_of(self.share)

    def weight_of(self, share: float) -> float:
        """What one animal gets for a share of its day's dry matter [kg/day as fed]."""
        return float(mass_from_dry_matter(share * self.intake, self.dry_matter))

    def share_of(self, per_head: float) -> float:
        """Share of the day's dry matter that a weight makes [0 to 1].

        Parameters
        ----------
        per_head
            What one animal gets [kg/day as fed].
        """
        return per_head / self.weight_of(1.0)

    def bales(self, per_head: float) -> float | None:
        """Bales a day for the whole group [count]; ``None`` where no bale was weighed.

        Parameters
        ----------
        per_head
            What one animal gets [kg/day as fed].
        """
        return None if not self.bale else per_head * self.head / self.bale


def how_much(decision: Decision) -> HowMuch | None:
    """The most of one hay for one group; ``None`` where no share is given or intake is unknown.

    Parameters
    ----------
    decision
        The verdict for the group.
    """
    dm = decision.sample.sheet.get("dm")
    share, intake = decision.verdict.share, decision.group.intake
    if share is None or not intake or dm is None or not dm.settled:
        return None
    packages = decision.sample.lot.packages
    return HowMuch(
        share=share,
        intake=intake,
        dry_matter=dm.value,
        head=decision.group.head,
        bale=packages.weight if packages else None,
    )

"""A feed as a ration sees it: what its dry matter holds, what it costs, what it carries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from haywright.measure.analytes import quantity
from haywright.measure.errors import Refused
from haywright.sheet.energy import de_from_tdn, me_082, neg_garrett, nem_garrett
from haywright.sources.feeds import Feed, feed

_FORAGES = {"hay", "silage", "straw_residue"}
_PER_KG = {"%": 0.01, "mg/kg": 1.0, "Mcal/kg": 1.0, "": 1.0}


@dataclass(frozen=True, slots=True)
class RationFeed:
    """One feed.

    Parameters
    ----------
    name
        As a person calls it.
    values
        Dictionary name -> content of the dry matter [%, mg/kg or Mcal/kg as the dictionary has].
    dm
        Dry matter [% as fed].
    price
        Delivered [money per kg as fed].
    forage
        Whether it is hay, silage or straw.
    carries
        What bars or limits it: urea, grain, ionophore and so on.
    least, most
        Bounds of its amount [kg of dry matter a day]; ``None`` for none.
    recalled
        Whether its figures are recalled, not read.
    """

    name: str
    values: Mapping[str, float]
    dm: float = 100.0
    price: float = 0.0
    forage: bool = False
    carries: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    recalled: bool = False

    def __post_init__(self) -> None:
        """Refuse a dry matter that cannot be, and negative amounts."""
        if not 0 < self.dm <= 100:
            raise Refused("dm", self.dm, key="ration.dm", name=self.name)
        if self.least is not None and self.most is not None and self.least > self.most:
            raise Refused("least", self.least, key="ration.least_over_most", name=self.name)

    @property
    def cost(self) -> float:
        """Price of the dry matter [money per kg of dry matter]."""
        return self.price * 100.0 / self.dm

    def fed(self, dry_matter: float) -> float:
        """What holds an amount of dry matter [kg as fed]; dry_matter [kg]."""
        return dry_matter * 100.0 / self.dm

    def holds(self, name: str) -> float | None:
        """Content in one kg of dry matter [kg, mg or Mcal]; ``None`` when not known.

        Protein counts less nitrate nitrogen, where that is known: nitrate feeds nobody.
        """
        if name == "cp" and "cp_less_nitrate" in self.values:
            name = "cp_less_nitrate"
        if name not in self.values:
            return None
        return self.values[name] * _PER_KG[quantity(name).unit]


def with_energy(values: Mapping[str, float]) -> dict[str, float]:
    """Values with net energies worked from TDN where they are missing [Mcal/kg of dry matter]."""
    found = dict(values)
    if "tdn" in found and "nem" not in found:
        me = me_082(de_from_tdn(found["tdn"]))
        found["nem"] = float(nem_garrett(me))
        found.setdefault("neg", float(neg_garrett(me)))
    return found


def table_feed(
    feed_id: str,
    *,
    price: float,
    carries: tuple[str, ...] = (),
    least: float | None = None,
    most: float | None = None,
) -> RationFeed:
    """A feed from the table of feed composition.

    Parameters
    ----------
    feed_id
        Row id.
    price
        [money per kg as fed].
    carries
        What bars or limits it, besides what its group says.
    least, most
        Bounds [kg of dry matter a day].
    """
    row: Feed = feed(feed_id)
    values = {name: v for name, v in row.values.items() if name not in ("dm", "rfv", "rup")}
    if "dm" not in row.values:
        raise Refused("dm", None, key="ration.dm", name=row.name)
    return RationFeed(
        name=row.name,
        values=with_energy(values),
        dm=row.values["dm"],
        price=price,
        forage=row.group in _FORAGES,
        carries=tuple(dict.fromkeys((*_group_carries(row), *carries))),
        least=least,
        most=most,
        recalled=row.recalled,
    )


def _group_carries(row: Feed) -> tuple[str, ...]:
    if row.group in ("npn", "mineral"):
        return ("urea",) if row.group == "npn" else ("mineral",)
    if "cottonseed" in row.id and row.id.startswith("whole"):
        return ("whole-cottonseed",)
    return ("grain",) if row.group == "energy" and "grain" in row.id else ()


@dataclass(frozen=True, slots=True)
class Diet:
    """Amounts of feeds together.

    Parameters
    ----------
    feeds
        The feeds.
    amounts
        Feed name -> [kg of dry matter a day].
    """

    feeds: tuple[RationFeed, ...]
    amounts: Mapping[str, float] = field(default_factory=dict)

    @property
    def dmi(self) -> float:
        """Dry matter together [kg a day]."""
        return sum(self.amounts.get(one.name, 0.0) for one in self.feeds)

    @property
    def cost(self) -> float:
        """Money a day."""
        return sum(one.cost * self.amounts.get(one.name, 0.0) for one in self.feeds)

    @property
    def forage_share(self) -> float:
        """Forage in the dry matter [%]."""
        forage = sum(self.amounts.get(one.name, 0.0) for one in self.feeds if one.forage)
        return 100.0 * forage / self.dmi if self.dmi else 0.0

    def supply(self, name: str) -> float:
        """What the diet brings a day [kg, mg or Mcal]; unknown contents count as nothing."""
        return sum((one.holds(name) or 0.0) * self.amounts.get(one.name, 0.0) for one in self.feeds)

    def unknown(self, name: str) -> tuple[str, ...]:
        """Feeds fed whose content is not known."""
        return tuple(
            one.name
            for one in self.feeds
            if self.amounts.get(one.name, 0.0) > 0 and one.holds(name) is None
        )

    def share(self, name: str) -> float | None:
        """Content of the diet as the dictionary has it [%, mg/kg or Mcal/kg of dry matter].

        ``None`` when the content of a feed that is fed is not known.
        """
        if self.unknown(name) or not self.dmi:
            return None
        return self.supply(name) / self.dmi / _PER_KG[quantity(name).unit]

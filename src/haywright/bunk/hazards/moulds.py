"""Mould counts and mycotoxins: what a printed scale says to do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from haywright.bunk.hazards.finding import Finding, Level
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.message import Amount, Message, message
from haywright.measure.register import equation
from haywright.sources.tables import load_toml

_LEVELS: dict[str, Level] = {
    "low": "below",
    "little_concern": "information",
    "feed_with_caution": "caution",
    "watch_animals": "caution",
    "dilute": "restrict",
    "discontinue": "stop",
}


@equation(
    name="Energy of mouldy feed",
    output=("tdn", "%", "dry matter"),
    source="mould-energy-sdsu",
    mark="read",
    units={"energy_factor": "fraction"},
)
def tdn_of_mouldy(tdn: Any, energy_factor: Any = 0.95) -> Any:
    """0.95 x TDN; tdn [% of dry matter], energy_factor [fraction]."""
    return tdn * energy_factor


@equation(
    name="A toxin spread over the whole diet",
    output=("in_diet", "as the feed's", ""),
    source="mass-balance",
    mark="definition",
    units={"in_feed": "", "share": "% of the diet"},
)
def in_diet(in_feed: Any, share: Any) -> Any:
    """Content x share / 100; in_feed [any unit], share [% of the diet]."""
    return in_feed * share / 100.0


def mould_band(count: float) -> Mapping[str, Any]:
    """The band of the printed scale: its action and energy factor; count [cfu/g]."""
    if not count >= 0:
        raise Refused("mold_count", count, key="hazards_other.negative")
    bands = load_toml("hazard_lines")["mould"]["bands"]
    found = bands[0]
    for band in bands[1:]:
        if count > band["from"] or (count == band["from"] and not band.get("above")):
            found = band
    return cast("Mapping[str, Any]", found)


def judge_mould(count: float, *, horses: bool = False) -> Finding:
    """A mould count; it says nothing about mycotoxins.

    Parameters
    ----------
    count
        [cfu/g].
    horses
        Whether horses eat it: no mould that can be seen, and no dust.
    """
    band = mould_band(count)
    row = load_toml("hazard_lines")["mould"]
    level = _LEVELS[band["action"]]
    advice = [message("hazards_other.mould.no_toxins"), message("hazards_other.mould.lungs")]
    if horses:
        advice.insert(0, message("hazards_other.mould.horses"))
    if band["energy"] < 1:
        advice.append(message("hazards_other.mould.energy", factor=band["energy"]))
    return Finding(
        hazard="mould",
        level=level,
        says=message(
            f"hazards_other.mould.{band['action']}", count=Amount(count, "cfu/g", digits=0)
        ),
        source=row["source"],
        mark=row["mark"],
        value=Amount(count, "cfu/g", digits=0),
        advice=tuple(advice),
    )


def _rows(toxin: str) -> Mapping[str, Any]:
    return cast("Mapping[str, Any]", load_toml("mycotoxins")[toxin])


def aflatoxin_level(feed: str, animals: str) -> float:
    """The action level for a feed and who eats it [ppb]; hay is any other feed.

    Parameters
    ----------
    feed
        corn, cottonseed-meal, or any other.
    animals
        breeding-cattle, finishing-beef, beef, or any.
    """
    for row in _rows("aflatoxin")["levels"]:
        if row["feed"] in (feed, "any") and row["animals"] in (animals, "any"):
            return float(row["level"])
    raise UnknownName("feed", feed, ["any"])


def judge_aflatoxin(aflatoxin: float, *, feed: str = "hay", animals: str = "any") -> Finding:
    """Aflatoxin against the action level, which binds trade.

    Parameters
    ----------
    aflatoxin
        In the feed as sold [ppb].
    feed, animals
        Which feed, and who eats it.
    """
    level = aflatoxin_level(feed, animals)
    over = aflatoxin > level
    rows = _rows("aflatoxin")
    amount = Amount(aflatoxin, "ppb", digits=0)
    return Finding(
        hazard="aflatoxin",
        level="stop" if over else "below",
        says=message(
            "hazards_other.aflatoxin.over" if over else "hazards_other.aflatoxin.below",
            found=amount,
            level=Amount(level, "ppb", digits=0),
        ),
        source=rows["source"],
        mark=rows["mark"],
        value=amount,
    )


@dataclass(frozen=True, slots=True)
class InDiet:
    """One toxin of one feed against guidance: of the feed, of its share, and of the diet.

    Parameters
    ----------
    toxin
        fumonisin or don.
    diet
        Spread over the diet [mg/kg].
    within_feed, within_share, within_diet
        Whether each of the three lines is kept.
    lines
        The three lines: feed [mg/kg], share [%], diet [mg/kg].
    """

    toxin: str
    diet: float
    within_feed: bool
    within_share: bool
    within_diet: bool
    lines: tuple[float, float, float]

    @property
    def kept(self) -> bool:
        """Whether all three lines are kept."""
        return self.within_feed and self.within_share and self.within_diet

    def finding(self) -> Finding:
        """As a finding."""
        rows = _rows(self.toxin)
        key = "hazards_other.mycotoxin.kept" if self.kept else "hazards_other.mycotoxin.over"
        amount = Amount(self.diet, "mg/kg", digits=1)
        return Finding(
            hazard=self.toxin,
            level="below" if self.kept else "stop",
            says=message(
                key,
                toxin=_toxin_name(self.toxin),
                diet=amount,
                feed_line=self.lines[0],
                share_line=self.lines[1],
                diet_line=self.lines[2],
            ),
            source=rows["source"],
            mark=rows["mark"],
            value=amount,
        )


def _toxin_name(toxin: str) -> Message:
    return message(f"hazards_other.toxin.{toxin}")


def toxin_in_diet(toxin: str, in_feed: float, share: float, *, animals: str) -> InDiet:
    """A feed's toxin against the three lines of the guidance.

    Parameters
    ----------
    toxin
        fumonisin or don.
    in_feed
        [mg/kg].
    share
        The feed in the diet [%].
    animals
        As the table names them.
    """
    rows = {row["animals"]: row for row in _rows(toxin)["levels"]}
    if animals not in rows:
        raise UnknownName("animals", animals, rows)
    row = rows[animals]
    diet = float(in_diet(in_feed, share))
    return InDiet(
        toxin=toxin,
        diet=diet,
        within_feed=in_feed <= row["ingredient"],
        within_share=share <= row["share"],
        within_diet=diet <= row["diet"],
        lines=(float(row["ingredient"]), float(row["share"]), float(row["diet"])),
    )


def judge_toxin_of_diet(toxin: str, content: float) -> Finding:
    """A toxin of the whole diet against levels of concern.

    Parameters
    ----------
    toxin
        don, zearalenone, t2 or ht2.
    content
        [mg/kg of dry matter].
    """
    table = _rows("concern")
    rows = {row["toxin"]: row for row in table["levels"]}
    if toxin not in rows:
        raise UnknownName("toxin", toxin, rows)
    row = rows[toxin]
    least, _most = row["harmful"]
    level: Level = "stop" if content >= least else "caution" if content >= row["from"] else "below"
    amount = Amount(content, "mg/kg", "dry matter", digits=2)
    return Finding(
        hazard=toxin,
        level=level,
        says=message(
            f"hazards_other.concern.{level}", toxin=_toxin_name(toxin), found=amount,
            line=row["from"], harmful=least,
        ),
        source=table["source"],
        mark=table["mark"],
        value=amount,
    )  # fmt: skip

"""Operations of the season: what the office saw in one hay year, in figures and as a file."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from django.http import HttpRequest, HttpResponse
from ninja import Field, Path, Query, Router, Schema

from haywright.office.api.door import asked
from haywright.office.api.kinds import Quantity
from haywright.office.way import season as seasons
from haywright.office.web.pages import actor_in

season = Router(tags=["season"])
Year = Annotated[int, Path(ge=1900, le=2200)]
_MEDIA = {
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "parquet": "application/vnd.apache.parquet",
}


class CropMonth(Schema):
    """One crop in one month of coring."""

    crop: str
    month: str = Field(description='"2026-09"; "" where no bag says it.')
    tested: int = Field(description="Lots tested for nitrate [count].")
    over: int = Field(description="Of those, at or over the line [count].")


class SeasonOut(Schema):
    """What the office saw in one hay year."""

    year: int
    line: Quantity = Field(description="Nitrate over which a lot counts as high.")
    tested: int
    over: int
    share_over: Quantity
    turnaround: Quantity | None = Field(description="Median from sealing to the first whole sheet.")
    by_crop: list[CropMonth]


@asked(season, "/season/{year}", SeasonOut, "season:read", "season.see")
def season_get(
    request: HttpRequest,
    year: Year,
    line: Annotated[float | None, Query(gt=0, le=1_000_000, allow_inf_nan=False)] = None,
) -> Any:
    """By crop and month; ``line`` [mg/kg NO3-N of dry matter] is the office's own if left out."""
    actor = actor_in(request)
    held = float(actor.office.call_line) if line is None and actor.office else float(line or 1)
    rows = seasons.by_crop(actor, year, held)
    tested, over = sum(r.tested for r in rows), sum(r.over for r in rows)
    days = seasons.turnaround(actor, year)
    share = 100 * over / tested if tested else None
    return {
        "year": year,
        "line": {"value": held, "unit": "mg/kg NO3-N", "basis": "dry matter"},
        "tested": tested,
        "over": over,
        "share_over": {"value": share, "unit": "%", "basis": "lots tested for nitrate"},
        "turnaround": None if days is None else {"value": days, "unit": "day", "basis": "median"},
        "by_crop": [vars_of(one) for one in rows],
    }


def vars_of(one: seasons.Seen) -> dict[str, Any]:
    """One crop in one month as plain fields."""
    month = f"{one.month:%Y-%m}" if one.month else ""
    return {"crop": one.crop, "month": month, "tested": one.tested, "over": one.over}


def _file(kind: Literal["csv", "xlsx", "parquet"]) -> Any:
    def given(
        request: HttpRequest,
        year: Year,
        *,
        owners: Annotated[bool, Query(description="Whether owners stand in it.")] = True,
    ) -> HttpResponse:
        rows = seasons.rows_of(actor_in(request), year, owners=owners)
        answer = HttpResponse(seasons.export(kind, rows), content_type=_MEDIA[kind])
        answer["Content-Disposition"] = f'attachment; filename="season-{year}.{kind}"'
        return answer

    given.__name__ = f"season_{kind}"
    given.__doc__ = "Every result in force of one hay year, as a file."
    path = f"/season/{{year}}/results.{kind}"
    return asked(season, path, _MEDIA[kind], "season:read", "season.export", pdf=True)(given)


season_csv, season_xlsx, season_parquet = (_file(kind) for kind in ("csv", "xlsx", "parquet"))

"""Pages of what can happen to a lot: divided, stacked with others, sold from; heat and photos."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from haywright.measure.errors import HaywrightError
from haywright.measure.units import convert
from haywright.office.action import DoneAlready
from haywright.office.people.policies import may_with
from haywright.office.stack import actions
from haywright.office.stack.models import Lot, State
from haywright.office.stack.queries import lots
from haywright.office.stack.views import form_page
from haywright.office.web.pages import Form, actor_in, found, page


class SplitForm(Form):
    """Two names and how many bales go to the first."""

    first_name = forms.CharField(max_length=120)
    first_bales = forms.IntegerField(min_value=1)
    second_name = forms.CharField(max_length=120)


class SaleForm(Form):
    """How many bales went, to whom, for what."""

    bales_sold = forms.IntegerField(min_value=1)
    buyer = forms.CharField(max_length=120, required=False)
    price_ton = forms.DecimalField(
        required=False, min_value=Decimal(0), max_digits=10, decimal_places=2
    )


class HeatForm(Form):
    """The heat in a bale, in the person's own degrees."""

    degrees = forms.DecimalField(max_digits=6, decimal_places=1)
    bale = forms.CharField(max_length=30, required=False)

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.fields["degrees"].unit = "°C" if self.reader.units == "si" else "°F"  # type: ignore[attr-defined]


class PhotoForm(Form):
    """A photo and what it shows."""

    photo = forms.FileField()
    shows = forms.CharField(max_length=300)


def _deed(
    request: HttpRequest, key: str, deed: str, form: Any, act: Any, name: str
) -> HttpResponse:
    """A form, the action behind it, and back to the lot."""
    lot = found(lots(actor_in(request)), pk=key)
    if not may_with(actor_in(request), deed, lot):
        raise Http404
    if request.method == "POST" and form.is_valid():
        try:
            act(lot, form.cleaned_data)
        except DoneAlready:
            return redirect("lot", lot.pk)
        except HaywrightError as error:
            form.refuse(error)
        else:
            return redirect("lot", lot.pk)
    title = "merge_title" if name == "merge" else name
    return form_page(request, form, f"office.lot.{title}", f"office.lot.{name}_does")


@page("lot.split")
def lot_split(request: HttpRequest, key: str) -> HttpResponse:
    """Divide a lot in two."""

    def act(lot: Lot, given: dict[str, Any]) -> None:
        rest = (lot.bales or 0) - given["first_bales"]
        parts = [(given["first_name"], given["first_bales"]), (given["second_name"], rest)]
        today = timezone.now().date()
        actions.split_lot(actor_in(request), lot, parts, on=today, once=form.token)

    form = SplitForm(request, request.POST or None)
    return _deed(request, key, "lot.split", form, act, "split")


class MergeForm(Form):
    """Which lots of the same crop become one, and its name."""

    merged_name = forms.CharField(max_length=120)
    others = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple)

    def __init__(self, request: HttpRequest, lot: Lot, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        alike = lots(actor_in(request)).filter(ranch=lot.ranch, crop=lot.crop, state=State.HERE)
        others = [(str(one.pk), one.name) for one in alike.exclude(pk=lot.pk)[:200]]
        self.fields["others"].choices = others  # type: ignore[attr-defined]


@page("lot.merge")
def lot_merge(request: HttpRequest, key: str) -> HttpResponse:
    """Stack several lots as one."""
    mine = found(lots(actor_in(request)), pk=key)

    def act(lot: Lot, given: dict[str, Any]) -> None:
        others = list(lots(actor_in(request)).filter(pk__in=given["others"]))
        actions.merge_lots(
            actor_in(request),
            [lot, *others],
            given["merged_name"],
            on=timezone.now().date(),
            once=form.token,
        )

    form = MergeForm(request, mine, request.POST or None)
    return _deed(request, key, "lot.merge", form, act, "merge")


@page("lot.sell")
def lot_sell(request: HttpRequest, key: str) -> HttpResponse:
    """Bales went to a buyer."""

    def act(lot: Lot, given: dict[str, Any]) -> None:
        actions.sell_from(
            actor_in(request),
            lot,
            given["bales_sold"],
            on=timezone.now().date(),
            buyer=given["buyer"],
            price=given["price_ton"],
            once=form.token,
        )

    form = SaleForm(request, request.POST or None)
    return _deed(request, key, "lot.sell", form, act, "sell")


@page("lot.heat")
def lot_heat(request: HttpRequest, key: str) -> HttpResponse:
    """Write down the heat of a bale."""

    def act(lot: Lot, given: dict[str, Any]) -> None:
        asked = "degC" if form.reader.units == "si" else "degF"
        celsius = round(float(convert(float(given["degrees"]), asked, "degC")), 1)
        actions.take_temperature(
            actor_in(request),
            lot,
            Decimal(repr(celsius)),
            at=timezone.now(),
            bale=given["bale"],
            once=form.token,
        )

    form = HeatForm(request, request.POST or None)
    return _deed(request, key, "lot.heat", form, act, "heat")


@page("lot.photo")
def lot_photo(request: HttpRequest, key: str) -> HttpResponse:
    """Keep a photo of a lot."""

    def act(lot: Lot, given: dict[str, Any]) -> None:
        data = given["photo"].read(actions.PHOTO_BYTES + 1)
        photo = actions.add_photo(actor_in(request), lot, data, given["shows"], once=form.token)
        settings.MEDIA_ROOT.mkdir(parents=True, exist_ok=True)
        (settings.MEDIA_ROOT / f"{photo.pk}.{photo.kind}").write_bytes(data)

    form = PhotoForm(request, request.POST or None, request.FILES or None)
    return _deed(request, key, "lot.photo", form, act, "photo")


@page("lot.see")
def photo(request: HttpRequest, key: str, picture: str) -> HttpResponse:
    """One photo of a lot."""
    lot = found(lots(actor_in(request)), pk=key)
    held = found(lot.photos.all(), pk=picture)
    path = settings.MEDIA_ROOT / f"{held.pk}.{held.kind}"
    if not path.is_file():
        raise Http404
    return HttpResponse(path.read_bytes(), content_type=f"image/{held.kind}")

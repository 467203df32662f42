"""Pages of what can happen to a lot: divided, stacked, sold from, carried over; heat, photos."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.units import convert
from haywright.office.action import DoneAlready
from haywright.office.people.policies import may_with
from haywright.office.stack import actions, kept
from haywright.office.stack.models import Lot, State
from haywright.office.stack.queries import lots
from haywright.office.stack.views import form_page
from haywright.office.web.pages import Form, actor_in, found, page

MOST_PARTS = 6


class SplitForm(Form):
    """Names and bales of the parts; one whose bales are left out takes the rest."""

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        for n in range(1, MOST_PARTS + 1):
            name = forms.CharField(max_length=120, required=n <= 2)
            name.label = self.say("office.field.part_name", n=n)
            bales = forms.IntegerField(min_value=1, required=False)
            bales.label = self.say("office.field.part_bales", n=n)
            bales.help_text = self.say("office.help.part_rest") if n == 2 else ""
            self.fields[f"name_{n}"], self.fields[f"bales_{n}"] = name, bales
        self.folded = [name for name in self.fields if name[-1].isdigit() and int(name[-1]) > 2]
        self.folds = self.say("office.form.more_parts")

    def parts(self, bales: int) -> list[tuple[str, int]]:
        """The parts of a lot of so many bales."""
        given = self.cleaned_data
        rows = [(given[f"name_{n}"], given[f"bales_{n}"]) for n in range(1, MOST_PARTS + 1)]
        told = [(name, n) for name, n in rows if name or n]
        rest = bales - sum(n or 0 for _, n in told)
        open_ones = [name for name, n in told if n is None]
        if len(open_ones) > 1 or (open_ones and rest < 1) or not all(name for name, _ in told):
            raise Refused("parts", bales - rest, str(bales), key="office.lot.parts")
        return [(name, rest if n is None else n) for name, n in told]


class SaleForm(Form):
    """How many bales went, to whom, for what."""

    bales_sold = forms.IntegerField(min_value=1)
    buyer = forms.CharField(max_length=120, required=False)
    price_ton = forms.DecimalField(
        label=" ", required=False, min_value=Decimal(0), max_digits=10, decimal_places=2
    )

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.fields["price_ton"].label = self.say(f"office.field.price_ton.{self.reader.units}")

    def clean_price_ton(self) -> Decimal | None:
        """The price of a short ton, as prices are kept; typed for a tonne by whom tonnes serve."""
        price: Decimal | None = self.cleaned_data["price_ton"]
        if price is None or self.reader.units == "us":
            return price
        tonnes = Decimal(repr(convert(1.0, "short_ton", "tonne")))
        return round(price * tonnes, 2)


class HeatForm(Form):
    """The heat in a bale, in the person's own degrees."""

    degrees = forms.DecimalField(max_digits=6, decimal_places=1)
    bale = forms.CharField(max_length=30, required=False)

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        si = self.reader.units == "si"
        least, most = (convert(one, "degC", "degC" if si else "degF") for one in actions.HEATS)
        self.fields["degrees"].unit = "°C" if si else "°F"  # type: ignore[attr-defined]
        self.fields["degrees"].validators += [
            MinValueValidator(round(least)), MaxValueValidator(round(most))
        ]  # fmt: skip


class PhotoForm(Form):
    """A photo and what it shows."""

    photo = forms.FileField(
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"})
    )
    shows = forms.CharField(required=False, max_length=300)


class PaperForm(PhotoForm):
    """The seller's paper, a PDF or a photo of it."""

    photo = forms.FileField(
        widget=forms.FileInput(attrs={"accept": "application/pdf,image/jpeg,image/png,image/webp"})
    )

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.fields["photo"].label = self.say("office.field.paper_file")


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
    says = form.say(f"office.lot.{name}_lede")
    if form.stands_alone:
        says = form.say("office.lot.merge_alone")
    return form_page(
        request,
        form,
        f"office.lot.{title}",
        f"office.lot.{name}_does",
        lede=lot.name,
        back=reverse("lot", args=[lot.pk]),
        says=says,
        caution=form.say(f"office.lot.heat_caution.{form.reader.units}") if name == "heat" else "",
    )


@page("lot.split")
def lot_split(request: HttpRequest, key: str) -> HttpResponse:
    """Divide a lot in two or more."""

    def act(lot: Lot, given: dict[str, Any]) -> None:  # noqa: ARG001 - the form reads its rows
        today = timezone.localdate()
        parts = form.parts(lot.bales or 0)
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
        self.stands_alone = not others


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
            on=timezone.localdate(),
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
            on=timezone.localdate(),
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
    return _kept(request, key, PhotoForm(request, request.POST or None, request.FILES or None))


@page("lot.photo")
def lot_paper(request: HttpRequest, key: str) -> HttpResponse:
    """Keep the paper a lot was bought with."""
    form = PaperForm(request, request.POST or None, request.FILES or None)
    return _kept(request, key, form, paper=True)


def _kept(request: HttpRequest, key: str, form: Any, *, paper: bool = False) -> HttpResponse:
    def act(lot: Lot, given: dict[str, Any]) -> None:
        sent = given["photo"]
        if sent.size > kept.MOST_BYTES:
            raise kept.refused(sent.size, paper=paper)
        kept.keep_photo(
            actor_in(request),
            lot,
            sent.read(),
            given["shows"],
            folder=settings.MEDIA_ROOT,
            paper=paper,
            once=form.token,
        )

    return _deed(request, key, "lot.photo", form, act, "paper" if paper else "photo")


@page("lot.see")
def photo(request: HttpRequest, key: str, picture: str) -> HttpResponse:
    """One photo of a lot, or the seller's paper."""
    lot = found(lots(actor_in(request)), pk=key)
    held = found(lot.photos.all(), pk=picture)
    path = kept.path_of(held, settings.MEDIA_ROOT)
    if not path.is_file():
        raise Http404
    answer = HttpResponse(path.read_bytes(), content_type=kept.TYPES[held.kind])
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


class CarryForm(Form):
    """How many bales are left, and the hay year they go into."""

    bales_left = forms.IntegerField(min_value=1)
    year = forms.IntegerField(min_value=1900, max_value=2200)


@page("lot.change")
def lot_carry(request: HttpRequest, key: str) -> HttpResponse:
    """What is left goes into another hay year."""

    def act(lot: Lot, given: dict[str, Any]) -> None:
        actions.carry_lot(
            actor_in(request),
            lot,
            given["bales_left"],
            year=given["year"],
            on=timezone.localdate(),
            once=form.token,
        )

    lot = found(lots(actor_in(request)), pk=key)
    opened = {"bales_left": lot.bales, "year": lot.hay_year + 1}
    form = CarryForm(request, request.POST or None, initial=opened)
    return _deed(request, key, "lot.change", form, act, "carry")


class FedForm(Form):
    """That nothing is left; one tick."""

    fed_up = forms.BooleanField()


@page("lot.change")
def lot_fed(request: HttpRequest, key: str) -> HttpResponse:
    """A lot was fed to the last bale."""

    def act(lot: Lot, given: dict[str, Any]) -> None:  # noqa: ARG001 - the tick says it all
        actions.feed_up(actor_in(request), lot, once=form.token)

    form = FedForm(request, request.POST or None)
    return _deed(request, key, "lot.change", form, act, "fed")

"""The API: every place's operations under one document."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse

from haywright.office.api.bag import bag
from haywright.office.api.bench import bench
from haywright.office.api.people import people
from haywright.office.api.problems import refusals
from haywright.office.api.promise import Promise
from haywright.office.api.season import season
from haywright.office.api.sheet import sheet
from haywright.office.api.stack import stack


def made() -> Promise:
    """The API, its places in the order a lot goes."""
    api = Promise()
    for one in (stack, bag, bench, sheet, season, people):
        api.add_router("", one)
    refusals(api)
    return api


def nothing_here(request: HttpRequest) -> HttpResponse:  # noqa: ARG001
    """An address below the API's that is none of its own."""
    raise Http404


api = made()

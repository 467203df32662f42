"""Addresses of the office, by place."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path, re_path

from haywright.office.api.doors import api, nothing_here
from haywright.office.bag import ship_view
from haywright.office.bag import views as bag
from haywright.office.bench import (
    batch_paper_view,
    batch_views,
    correct_view,
    laboratory_views,
    report_views,
)
from haywright.office.people import doors, keys, me, ranch_views
from haywright.office.people import office_views as own
from haywright.office.people import views as people
from haywright.office.sheet import compare_view, feed_view, number_view, read_view
from haywright.office.sheet import deeds as sheet_deeds
from haywright.office.sheet import views as sheet
from haywright.office.stack import deeds, lot_view, plan_view, yard_view
from haywright.office.stack import views as stack
from haywright.office.way import call_view
from haywright.office.way import views as way

urlpatterns: list[URLPattern | URLResolver] = [
    path("", way.today, name="today"),
    path("lots/", stack.lot_list, name="lots"),
    path("lots/new", stack.lot_new, name="lot-new"),
    path("lots/<uuid:key>/", lot_view.lot_page, name="lot"),
    path("lots/<uuid:key>/change", stack.lot_change, name="lot-change"),
    path("lots/<uuid:key>/facts/<slug:fact>", lot_view.lot_fact, name="lot-fact"),
    path("lots/<uuid:key>/stand", lot_view.lot_stand, name="lot-stand"),
    path("lots/<uuid:key>/plan", plan_view.lot_plan, name="lot-plan"),
    path("lots/<uuid:key>/plan.pdf", plan_view.lot_plan_pdf, name="lot-plan-pdf"),
    path("lots/<uuid:key>/split", deeds.lot_split, name="lot-split"),
    path("lots/<uuid:key>/merge", deeds.lot_merge, name="lot-merge"),
    path("lots/<uuid:key>/sell", deeds.lot_sell, name="lot-sell"),
    path("lots/<uuid:key>/heat", deeds.lot_heat, name="lot-heat"),
    path("lots/<uuid:key>/photo", deeds.lot_photo, name="lot-photo"),
    path("lots/<uuid:key>/paper", deeds.lot_paper, name="lot-paper"),
    path("lots/<uuid:key>/carry", deeds.lot_carry, name="lot-carry"),
    path("lots/<uuid:key>/fed", deeds.lot_fed, name="lot-fed"),
    path("lots/<uuid:key>/photos/<uuid:picture>", deeds.photo, name="photo"),
    path("lots/<uuid:key>/bags", bag.lot_bags, name="lot-bags"),
    path("lots/<uuid:key>/bags/new", bag.bag_new, name="bag-new"),
    path("lots/<uuid:key>/report", report_views.lot_report, name="lot-report"),
    path("yard/", yard_view.yard, name="yard"),
    path("yard-worker.js", yard_view.worker, name="yard-worker"),
    path("bags/", bag.bag_list, name="bags"),
    path("bags/ship", ship_view.ship, name="bags-ship"),
    path("bags/list.pdf", ship_view.shipment_list, name="shipment-list"),
    path("bags/<uuid:key>/", bag.bag_page, name="bag"),
    path("bags/<uuid:key>/slip.pdf", ship_view.bag_slip, name="bag-slip"),
    path("bags/<uuid:key>/swap", ship_view.bag_swap, name="bag-swap"),
    path("bags/<uuid:key>/label.pdf", bag.bag_label, name="bag-label"),
    path("sheets/<uuid:key>/", sheet.sheet_page, name="sheet"),
    path("sheets/<uuid:key>/sheet.pdf", sheet.sheet_pdf, name="sheet-pdf"),
    path("sheets/<uuid:key>/feeding", feed_view.feed_page, name="feed"),
    path("sheets/<uuid:key>/feeding.pdf", feed_view.feed_pdf, name="feed-pdf"),
    path("sheets/<uuid:key>/numbers/<slug:name>", number_view.number_page, name="number"),
    path("sheets/<uuid:key>/versions", compare_view.compare_page, name="compare"),
    path("sheets/<uuid:key>/links/<uuid:link>/end", sheet_deeds.link_withdraw, name="link-end"),
    path("sheets/<uuid:key>/note", sheet_deeds.sheet_note, name="sheet-note"),
    path("sheets/<uuid:key>/link", sheet_deeds.sheet_link, name="sheet-link"),
    path("sheets/<uuid:key>/call", call_view.call, name="call"),
    path("read/<str:secret>/", read_view.read, name="read"),
    path("bench/", batch_views.batch_list, name="batches"),
    path("bench/receive", batch_views.batch_receive, name="batch-receive"),
    path("bench/<uuid:key>/", batch_views.batch_page, name="batch"),
    path("bench/<uuid:key>/report.pdf", batch_paper_view.batch_report, name="batch-report"),
    path("results/<uuid:key>/correct", correct_view.result_correct, name="result-correct"),
    path("laboratories/", laboratory_views.laboratory_list, name="laboratories"),
    path("laboratories/new", laboratory_views.laboratory_new, name="laboratory-new"),
    path("laboratories/<uuid:key>/", laboratory_views.laboratory_page, name="laboratory"),
    path("season/", way.season, name="season"),
    path("season/export.<str:kind>", way.season_export, name="season-export"),
    path("office/", own.settings, name="office"),
    path("office/begin", own.begin, name="office-begin"),
    path("ranches/", ranch_views.ranch_list, name="ranches"),
    path("ranches/new", ranch_views.ranch_new, name="ranch-new"),
    path("ranches/<uuid:key>/", ranch_views.ranch_page, name="ranch"),
    path("people/", people.people, name="people"),
    path("people/<uuid:key>/end", people.member_end, name="member-end"),
    path("people/<uuid:key>/way-in", people.member_way_in, name="member-way-in"),
    path("people/me/", me.me, name="me"),
    path("people/me/office", me.choose_office, name="choose-office"),
    path("people/me/sign-out", me.sign_out_everywhere, name="sign-out-everywhere"),
    path("people/me/keys", keys.keys, name="keys"),
    path("people/me/keys/<uuid:key>/withdraw", keys.key_withdraw, name="key-withdraw"),
    path("people/me/data", me.take_my_data, name="take-my-data"),
    path("sign-in/", doors.sign_in, name="sign-in"),
    path("sign-in/code", doors.sign_in_code, name="sign-in-code"),
    path("sign-out/", doors.sign_out, name="sign-out"),
    path("in/<str:secret>/", doors.way_in, name="way-in"),
    path("join/<str:secret>/", doors.join, name="join"),
    path("api/", api.urls),
    re_path(r"^api/", nothing_here),
    path("account/", include("allauth.urls")),
]

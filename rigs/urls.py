"""Addresses of rigs, their parts, and the catalogue of microphones and DIs."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from rigs.views import controls, devices, figures, inputs, links, live, order, retire, rigs, units

app_name = "rigs"

unit_urls: list[URLPattern | URLResolver] = [
    path("new/", units.new, name="unit_new"),
    path("several/", units.several, name="units_several"),
    path("order/", order.units, name="units_order"),
    path("<uuid:unit>/", units.page, name="unit"),
    path("<uuid:unit>/edit/", units.edit, name="unit_edit"),
    path("<uuid:unit>/copy/", units.copy, name="unit_copy"),
    path("<uuid:unit>/figures/", figures.edit, name="unit_figures"),
    path("<uuid:unit>/retire/", retire.unit, name="unit_retire"),
    path("<uuid:unit>/controls/new/", controls.new, name="control_new"),
    path("<uuid:unit>/controls/order/", order.controls, name="controls_order"),
]

rig_urls: list[URLPattern | URLResolver] = [
    path("", rigs.page, name="rig"),
    path("edit/", rigs.edit, name="edit"),
    path("retire/", rigs.retire, name="retire"),
    path("retired/", retire.listing, name="retired"),
    path("live/", live.rig, name="live"),
    path("copy/", rigs.copy, name="copy"),
    path("units/", include(unit_urls)),
    path("controls/<uuid:control>/edit/", controls.edit, name="control_edit"),
    path("controls/<uuid:control>/retire/", retire.control, name="control_retire"),
    path("cables/new/", links.new, name="link_new"),
    path("cables/order/", order.links, name="links_order"),
    path("cables/<uuid:link>/edit/", links.edit, name="link_edit"),
    path("cables/<uuid:link>/retire/", retire.link, name="link_retire"),
    path("inputs/new/", inputs.new, name="input_new"),
    path("inputs/order/", order.inputs, name="inputs_order"),
    path("inputs/<uuid:input>/", inputs.page, name="input"),
    path("inputs/<uuid:input>/edit/", inputs.edit, name="input_edit"),
    path("inputs/<uuid:input>/retire/", retire.input_, name="input_retire"),
]

device_urls: list[URLPattern | URLResolver] = [
    path("", devices.index, name="devices"),
    path("new/", devices.new, name="device_new"),
    path("<uuid:device>/", devices.page, name="device"),
    path("<uuid:device>/edit/", devices.edit, name="device_edit"),
    path("<uuid:device>/retire/", devices.retire, name="device_retire"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/rigs/", rigs.index, name="index"),
    path("p/<uuid:production>/rigs/new/", rigs.new, name="new"),
    path("p/<uuid:production>/rigs/<uuid:rig>/", include(rig_urls)),
    path("p/<uuid:production>/devices/", include(device_urls)),
    path("", include("rigs.urls_history")),
    path("", include("rigs.urls_lists")),
    path("", include("rigs.urls_list_imports")),
    path("", include("rigs.urls_checks")),
    path("", include("rigs.urls_air")),
    path("", include("rigs.urls_pins")),
    path("", include("rigs.urls_songs")),
    path("", include("rigs.urls_spares")),
    path("", include("rigs.urls_shows")),
]

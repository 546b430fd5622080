"""Addresses of rigs, their parts, and the catalogue of microphones and DIs."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from rigs.cables import views as cables
from rigs.editing import order_views
from rigs.input_lines import views as input_lines
from rigs.inputs import device_views, group_views, new_device_views
from rigs.inputs import views as inputs
from rigs.open_pages import views as live
from rigs.overview import parts
from rigs.overview import views as rigs
from rigs.retire import views as retire
from rigs.units import control_views, figure_views, scale_views
from rigs.units import views as units

app_name = "rigs"

unit_urls: list[URLPattern | URLResolver] = [
    path("new/", units.new, name="unit_new"),
    path("several/", units.several, name="units_several"),
    path("order/", order_views.units, name="units_order"),
    path("<uuid:unit_id>/", units.page, name="unit"),
    path("<uuid:unit_id>/edit/", units.edit, name="unit_edit"),
    path("<uuid:unit_id>/copy/", units.copy, name="unit_copy"),
    path("<uuid:unit_id>/figures/", figure_views.edit, name="unit_figures"),
    path("<uuid:unit_id>/scale/", scale_views.change, name="unit_scale"),
    path("<uuid:unit_id>/retire/", retire.unit, name="unit_retire"),
    path("<uuid:unit_id>/controls/new/", control_views.new, name="control_new"),
    path("<uuid:unit_id>/controls/order/", order_views.controls, name="controls_order"),
]

rig_urls: list[URLPattern | URLResolver] = [
    path("", rigs.page, name="rig"),
    path("part/findings/", parts.findings, name="rig_findings"),
    path("part/why/", parts.why, name="rig_why"),
    path("part/open/", parts.still_open, name="rig_open"),
    path("edit/", rigs.edit, name="edit"),
    path("retire/", rigs.retire, name="retire"),
    path("retired/", retire.listing, name="retired"),
    path("live/", live.rig, name="live"),
    path("copy/", rigs.copy, name="copy"),
    path("units/", include(unit_urls)),
    path("controls/<uuid:control_id>/edit/", control_views.edit, name="control_edit"),
    path("controls/<uuid:control_id>/retire/", retire.control, name="control_retire"),
    path("cables/new/", cables.new, name="link_new"),
    path("cables/path/", cables.path, name="links_path"),
    path("cables/order/", order_views.links, name="links_order"),
    path("cables/<uuid:link_id>/edit/", cables.edit, name="link_edit"),
    path("cables/<uuid:link_id>/retire/", retire.link, name="link_retire"),
    path("inputs/new/", inputs.new, name="input_new"),
    path("inputs/several/", input_lines.several, name="inputs_several"),
    path("inputs/order/", order_views.inputs, name="inputs_order"),
    path("inputs/<uuid:input_id>/", inputs.page, name="input"),
    path("inputs/<uuid:input_id>/edit/", inputs.edit, name="input_edit"),
    path("inputs/<uuid:input_id>/retire/", retire.input_, name="input_retire"),
    path("groups/new/", group_views.new, name="group_new"),
    path("groups/<uuid:group_id>/edit/", group_views.edit, name="group_edit"),
    path("groups/<uuid:group_id>/retire/", retire.group, name="group_retire"),
]

device_urls: list[URLPattern | URLResolver] = [
    path("", device_views.index, name="devices"),
    path("new/", device_views.new, name="device_new"),
    path("several/", new_device_views.several, name="devices_several"),
    path("read/", new_device_views.read, name="device_read"),
    path("<uuid:device_id>/", device_views.page, name="device"),
    path("<uuid:device_id>/edit/", device_views.edit, name="device_edit"),
    path("<uuid:device_id>/retire/", device_views.retire, name="device_retire"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/rigs/", rigs.index, name="index"),
    path("p/<uuid:production>/rigs/new/", rigs.new, name="new"),
    path("p/<uuid:production>/rigs/<uuid:rig_id>/", include(rig_urls)),
    path("p/<uuid:production>/devices/", include(device_urls)),
    path("", include("rigs.history.urls")),
    path("", include("rigs.lists.urls")),
    path("", include("rigs.list_import.urls")),
    path("", include("rigs.checks.urls")),
    path("", include("rigs.whatif.urls")),
    path("", include("rigs.photos.urls")),
    path("", include("rigs.knob_check.urls")),
    path("", include("rigs.songs.urls")),
    path("", include("rigs.scenes.urls")),
    path("", include("rigs.upkeep.urls")),
    path("", include("rigs.backline.urls")),
    path("", include("rigs.carnet.urls")),
    path("", include("rigs.mains.urls")),
    path("", include("rigs.changeover.urls")),
    path("", include("rigs.shows.urls")),
    path("", include("rigs.patch.urls")),
    path("", include("rigs.plot.urls")),
    path("", include("rigs.tonight.urls")),
    path("", include("rigs.one_page.urls")),
]

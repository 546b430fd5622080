"""Addresses of the plot, of all shows and of one. Included by rigs.urls."""

from __future__ import annotations

from django.urls import path

from rigs.plot import thing_views, views

_ALL = "p/<uuid:production>"
_SHOW = f"{_ALL}/shows/<uuid:show_id>"

urlpatterns = [
    path(f"{_ALL}/plot/", views.page, name="plot"),
    path(f"{_ALL}/plot.pdf", views.sheet, name="plot_sheet"),
    path(f"{_ALL}/plot/places/", views.places, name="plot_places"),
    path(f"{_ALL}/plot/history/", views.history, name="plot_history"),
    path(f"{_ALL}/plot/stage/", thing_views.stage, name="plot_stage"),
    path(f"{_ALL}/plot/risers/new/", thing_views.new_riser, name="plot_riser_new"),
    path(f"{_ALL}/plot/risers/<uuid:riser_id>/", thing_views.riser, name="plot_riser"),
    path(
        f"{_ALL}/plot/risers/<uuid:riser_id>/retire/",
        thing_views.end_riser,
        name="plot_riser_retire",
    ),
    path(f"{_ALL}/plot/mains/new/", thing_views.new_drop, name="plot_drop_new"),
    path(f"{_ALL}/plot/mains/<uuid:drop_id>/", thing_views.drop, name="plot_drop"),
    path(
        f"{_ALL}/plot/mains/<uuid:drop_id>/retire/", thing_views.end_drop, name="plot_drop_retire"
    ),
    path(f"{_SHOW}/plot/", views.page, name="show_plot"),
    path(f"{_SHOW}/plot.pdf", views.sheet, name="show_plot_sheet"),
    path(f"{_SHOW}/plot/places/", views.show_places, name="show_plot_places"),
    path(
        f"{_SHOW}/plot/places/as-usual/",
        views.places_as_usual,
        name="show_plot_places_as_usual",
    ),
    path(f"{_SHOW}/plot/history/", views.history, name="show_plot_history"),
    path(f"{_SHOW}/plot/stage/", thing_views.show_stage, name="show_plot_stage"),
    path(
        f"{_SHOW}/plot/stage/as-usual/",
        thing_views.end_show_stage,
        name="show_plot_stage_as_usual",
    ),
]

"""Addresses of the API in rigs."""

from __future__ import annotations

from django.urls import path

from rigs.api import cables, played, scales, views
from rigs.backline import api as backline
from rigs.carnet import api as carnet
from rigs.changeover import api as changeover
from rigs.inputs import api as inputs
from rigs.knob_check import api as panels
from rigs.list_import import api as lists
from rigs.mains import api as mains
from rigs.patch import api as patch
from rigs.plot import api as plot
from rigs.shows import api as shows
from rigs.songs import api as songs
from rigs.tonight import api as tonight
from rigs.upkeep import api as upkeep

urlpatterns = [
    path("productions/<uuid:production>/devices/", inputs.Devices.as_view(), name="api-devices"),
    path(
        "productions/<uuid:production>/devices/read/",
        inputs.ReadDevices.as_view(),
        name="api-devices-read",
    ),
    path(
        "productions/<uuid:production>/list-imports/",
        lists.ListImports.as_view(),
        name="api-list-imports",
    ),
    path("list-imports/<uuid:import>/", lists.OneListImport.as_view(), name="api-list-import"),
    path(
        "list-imports/<uuid:import>/confirmation/",
        lists.ListConfirmation.as_view(),
        name="api-list-confirmation",
    ),
    path("productions/<uuid:production>/upkeep/", upkeep.Upkeep.as_view(), name="api-upkeep"),
    path("productions/<uuid:production>/rigs/", views.Rigs.as_view(), name="api-rigs"),
    path("rigs/<uuid:rig>/", views.OneRig.as_view(), name="api-rig"),
    path("rigs/<uuid:rig>/findings/", views.RigFindings.as_view(), name="api-rig-findings"),
    path("rigs/<uuid:rig>/panels/", panels.RigPanels.as_view(), name="api-rig-panels"),
    path(
        "photos/<uuid:photo>/panel-checks/",
        panels.PanelChecks.as_view(),
        name="api-panel-checks",
    ),
    path(
        "photos/<uuid:photo>/panel-proposals/",
        panels.PanelProposals.as_view(),
        name="api-panel-proposals",
    ),
    path("panel-checks/<uuid:check>/", panels.OnePanelCheck.as_view(), name="api-panel-check"),
    path(
        "panel-checks/<uuid:check>/confirmation/",
        panels.PanelConfirmation.as_view(),
        name="api-panel-confirmation",
    ),
    path(
        "panel-checks/<uuid:check>/turn-backs/",
        panels.PanelTurnBacks.as_view(),
        name="api-panel-turn-backs",
    ),
    path("rigs/<uuid:rig>/played/", played.RigPlayed.as_view(), name="api-rig-played"),
    path("rigs/<uuid:rig>/changes/", views.RigChanges.as_view(), name="api-rig-changes"),
    path("rigs/<uuid:rig>/cables/", cables.RigCables.as_view(), name="api-rig-cables"),
    path(
        "rigs/<uuid:rig>/units/<uuid:unit>/scale/",
        scales.UnitScale.as_view(),
        name="api-unit-scale",
    ),
    path(
        "productions/<uuid:production>/patch/",
        patch.ProductionPatch.as_view(),
        name="api-patch",
    ),
    path(
        "productions/<uuid:production>/carnet/",
        carnet.ProductionCarnet.as_view(),
        name="api-carnet",
    ),
    path(
        "productions/<uuid:production>/carnet/goods/",
        carnet.CarnetLines.as_view(),
        name="api-carnet-lines",
    ),
    path(
        "productions/<uuid:production>/carnet/goods/<uuid:goods>/",
        carnet.CarnetLine.as_view(),
        name="api-carnet-line",
    ),
    path("shows/<uuid:show>/mains/", mains.ShowMainsView.as_view(), name="api-show-mains"),
    path("shows/<uuid:show>/patch/", patch.ShowPatch.as_view(), name="api-show-patch"),
    path(
        "shows/<uuid:show>/patch/questions/<uuid:guest_question>/answer/",
        patch.AnswerToGuest.as_view(),
        name="api-show-patch-answer",
    ),
    path(
        "productions/<uuid:production>/plot/",
        plot.ProductionPlot.as_view(),
        name="api-plot",
    ),
    path(
        "productions/<uuid:production>/plot/stage/",
        plot.ProductionStage.as_view(),
        name="api-plot-stage",
    ),
    path(
        "productions/<uuid:production>/plot/risers/",
        plot.PlotRisers.as_view(),
        name="api-plot-risers",
    ),
    path(
        "productions/<uuid:production>/plot/risers/<uuid:riser>/",
        plot.PlotRiser.as_view(),
        name="api-plot-riser",
    ),
    path(
        "productions/<uuid:production>/plot/mains/",
        plot.PlotDrops.as_view(),
        name="api-plot-drops",
    ),
    path(
        "productions/<uuid:production>/plot/mains/<uuid:drop>/",
        plot.PlotDrop.as_view(),
        name="api-plot-drop",
    ),
    path("shows/<uuid:show>/plot/", plot.ShowPlot.as_view(), name="api-show-plot"),
    path("shows/<uuid:show>/plot/stage/", plot.ShowStage.as_view(), name="api-show-plot-stage"),
    path("shows/<uuid:show>/inputs/", shows.ShowInputs.as_view(), name="api-show-inputs"),
    path("shows/<uuid:show>/gear/", tonight.ShowGear.as_view(), name="api-show-gear"),
    path("shows/<uuid:show>/backline/", backline.ShowBackline.as_view(), name="api-show-backline"),
    path(
        "shows/<uuid:show>/backline/<uuid:line>/",
        backline.BacklineAnswerAtShow.as_view(),
        name="api-show-backline-answer",
    ),
    path(
        "shows/<uuid:show>/changeover/",
        changeover.ShowChangeover.as_view(),
        name="api-show-changeover",
    ),
    path(
        "shows/<uuid:show>/changeover/marks/",
        changeover.ShowChangeoverMarks.as_view(),
        name="api-show-changeover-marks",
    ),
    path("shows/<uuid:show>/set/", songs.ShowSet.as_view(), name="api-show-set"),
    path("shows/<uuid:show>/run/", songs.ShowRun.as_view(), name="api-show-run"),
    path("shows/<uuid:show>/players/", shows.ShowPlayers.as_view(), name="api-show-players"),
    path(
        "shows/<uuid:show>/players/<uuid:player>/dep/",
        shows.ShowPlayerDep.as_view(),
        name="api-show-dep",
    ),
    path("shows/<uuid:show>/findings/", shows.ShowFindings.as_view(), name="api-show-findings"),
]

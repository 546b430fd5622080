"""Which tables a production consists of, how rows lead to it, and in which order they load.

Found by looking at the models, so that a model added later is carried, too, or named here as left
out; a test sees to that.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from django.apps import apps
from django.db import models

from core.models import Production
from core.owner import Model, path_to_production, pointers
from core.tables import name_of

APPS = ("core", "rigs", "notes")
# Model label → why it stays behind.
LEFT_OUT = {
    "core.User": "people are carried apart, without passwords",
    "core.User_groups": "rights on one server",
    "core.User_user_permissions": "rights on one server",
    "core.GuestChange": "belongs to a link that stays behind",
    "core.GuestLink": "a secret of one server",
    "core.GuestOpening": "belongs to a link that stays behind",
    "core.OneTimeLink": "a secret of one server",
    "core.KnownDevice": "how people get into one server",
    "core.LogIn": "how people get into one server",
    "core.Passkey": "how people get into one server",
    "core.RecoveryCode": "how people get into one server",
    "core.SecondFactor": "how people get into one server",
    "core.Tries": "how people get into one server",
    "core.Presence": "who looks at what at one moment",
    "core.DoneRequest": "which requests one server has answered",
    "core.Upload": "a file on its way in",
    "core.UploadPiece": "a file on its way in",
    "core.KeptResult": "made anew from the rest",
    "core.LogBegun": "how far one server came",
    "core.LogNode": "made anew from the log",
    "core.SearchEntry": "made anew from the rest",
    "core.SearchWord": "made anew from the rest",
    "core.IndexedProduction": "made anew from the rest",
    "rigs.IndexedRig": "made anew from the rest",
    "rigs.ListImport": "a file on its way in",
    "notes.BlindInvitation": "belongs to a link that stays behind",
    "notes.Demonstration": "which production of one server is invented",
    "notes.MixSignRequest": "belongs to a link that stays behind",
    "notes.SignRequest": "belongs to a link that stays behind",
}

# What archives of earlier releases have not: nothing is in such a table then.
ADDED_LATER = frozenset(
    {
        "core.checkpoint",
        "core.logentry",
        "core.logsalt",
        "core.personaltext",
        "core.removal",
        "core.removedfile",
        "core.setchange",
        "core.setentry",
        "core.showset",
        "notes.causeoutcome",
        "notes.earlierwords",
        "notes.mixsignoff",
        "notes.mixversion",
        "notes.mixwish",
        "notes.mixwishmark",
        "notes.monitormix",
        "notes.namedcause",
        "notes.notememo",
        "notes.notephoto",
        "notes.recordedfile",
        "notes.recording",
        "notes.signedscatter",
        "notes.take",
        "rigs.backlineanswer",
        "rigs.backlinechange",
        "rigs.backlineline",
        "rigs.carnetgoods",
        "rigs.carnetgoodschange",
        "rigs.changeover",
        "rigs.changeoverchange",
        "rigs.changeovermark",
        "rigs.changeoverstep",
        "rigs.controlatshow",
        "rigs.group",
        "rigs.mainsdrop",
        "rigs.member",
        "rigs.lentline",
        "rigs.panelcheck",
        "rigs.patchbox",
        "rigs.patchboxatshow",
        "rigs.patchchange",
        "rigs.patchline",
        "rigs.patchquestion",
        "rigs.patchrun",
        "rigs.plotchange",
        "rigs.plotplace",
        "rigs.riser",
        "rigs.scene",
        "rigs.sceneentry",
        "rigs.showdep",
        "rigs.showfindingwords",
        "rigs.source",
        "rigs.stagesize",
        "rigs.turnback",
        "rigs.unitatshow",
        "rigs.unitatshowchange",
    }
)


@cache
def tables() -> tuple[Model, ...]:
    """Every model that is carried, those that others point at first (as far as there is such)."""
    models = [
        model
        for app in APPS
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
        if model._meta.label not in LEFT_OUT
    ]
    # By name, so that the order does not depend on how the apps were loaded.
    models.sort(key=lambda model: (model is not Production, name_of(model)))
    return tuple(_in_order(models))


def _in_order(models: list[Model]) -> Iterator[Model]:
    waiting, placed = list(models), set[Model]()
    while waiting:
        # Where tables point at each other in a circle, one of them has to go first.
        ready = [m for m in waiting if _needs(m, models) <= placed] or waiting[:1]
        for model in ready:
            yield model
            placed.add(model)
            waiting.remove(model)


def _needs(model: Model, among: list[Model]) -> set[Model]:
    return {target for _, target in pointers(model) if target in among and target is not model}


@cache
def pointed_at() -> frozenset[Model]:
    """The tables whose keys other rows name."""
    return frozenset(target for model in tables() for _, target in pointers(model))


def rows_of(model: Model, production: Production) -> models.QuerySet[Any]:
    """In the order of their keys; keys that the database counts up are in order of writing."""
    rows = model._default_manager.filter(**{path_to_production(model): production.pk})
    return rows.order_by("pk")

"""All that is held of one person, as plain data: what they may ask for at any time."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext, gettext_noop

from core.languages.choice import as_stored
from core.models import PersonalText, Player, Production, User
from core.owner import Model, path_to_production, pointers
from core.personal.opening import names_of
from core.tables import name_of, to_json
from notes.archive.tables import tables

FORMAT = "toneledger-held-of-a-person-1"
Plain = dict[str, Any]


def held_of(person: User) -> Plain:
    """Account, log-ins, and by production every row that points at them or at their musician."""
    productions = Production.objects.filter(
        Q(memberships__user=person) | Q(personal_texts__person=person)
    )
    # For programs, too: its keys are the same in every language.
    with as_stored():
        return {
            "format": FORMAT,
            "account": _account(person),
            "log_ins": _log_ins(person),
            "productions": [
                _in_production(person, each)
                for each in productions.distinct().order_by("name", "pk")
            ],
        }


def counted(held: Plain) -> list[tuple[str, list[tuple[str, int]]]]:
    """For the page: by production, of what how many rows there are."""
    return [
        (
            each["production"]["name"],
            [(gettext(what), len(rows)) for what, rows in each["records"].items()],
        )
        for each in held["productions"]
    ]


def _account(person: User) -> Plain:
    left_out = {"password"}
    columns = [c for c in person._meta.concrete_fields if c.name not in left_out]
    return {column.name: to_json(getattr(person, column.attname)) for column in columns}


def _log_ins(person: User) -> list[Plain]:
    found = []
    for model in (AccessAttempt, AccessFailureLog, AccessLog):
        rows = model.objects.filter(username__iexact=person.email).order_by("attempt_time")
        for at, address, program in rows.values_list("attempt_time", "ip_address", "user_agent"):
            kind = str(model._meta.verbose_name)
            found.append({"kind": kind, "at": to_json(at), "from": address, "with": program})
    return found


def _in_production(person: User, production: Production) -> Plain:
    players = Player.objects.filter(production=production, memberships__user=person)
    keys = list(players.values_list("pk", flat=True))
    records = {}
    for model in tables():
        rows = _rows(model, production, person, keys)
        if rows:
            records[str(model._meta.verbose_name_plural)] = rows
    own = Q(person=person) | Q(player__in=keys)
    texts = PersonalText.objects.filter(own, production=production).order_by("pk")
    records[gettext_noop("names and words kept apart")] = [
        {"kind": row.kind, "text": row.text, "commitment": row.commitment} for row in texts
    ]
    name = {"id": str(production.pk), "name": production.name}
    return {"production": name, "records": records}


def _rows(model: Model, production: Production, person: User, players: list[Any]) -> list[Plain]:
    where = Q()
    for field, target in pointers(model):
        if target is User:
            where |= Q(**{field.name: person})
        elif target is Player:
            where |= Q(**{f"{field.name}__in": players})
    if model is Player:
        where |= Q(pk__in=players)
    if not where or model is PersonalText:
        return []
    rows = model._default_manager.filter(where, **{path_to_production(model): production.pk})
    columns = [c for c in model._meta.concrete_fields if not isinstance(c, models.BinaryField)]
    found = [
        {"table": name_of(model)}
        | {c.name: to_json(v) for c, v in zip(columns, values, strict=True)}
        for values in rows.order_by("pk").values_list(*(c.attname for c in columns))
    ]
    return _opened(found)


def _opened(rows: list[Plain]) -> list[Plain]:
    """Each text that is kept apart in its place."""
    texts = names_of(_texts(rows))
    return [
        {
            key: texts.get(value, value) if isinstance(value, str) else value
            for key, value in row.items()
        }
        for row in rows
    ]


def _texts(rows: Iterable[Plain]) -> list[str]:
    return [value for row in rows for value in row.values() if isinstance(value, str)]

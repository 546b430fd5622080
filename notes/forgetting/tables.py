"""Where people stand in tables whose rows can be changed, and where in those that cannot.

Found by looking at the models: whoever adds a table need not think of it. What somebody wrote is
named in WORDS, because no rule tells words of a person from words about a thing.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _

from core.append_only import is_append_only
from core.authors import GuestAuthor
from core.models import (
    GuestChange,
    GuestLink,
    OneTimeLink,
    PersonalText,
    Player,
    Production,
    Removal,
    User,
)
from core.owner import Model, pointers
from core.personal.opening import FORGOTTEN
from notes.archive.tables import rows_of, tables
from notes.forgetting.subject import TAKEN_OUT, Subject
from notes.models import Answer, Note, Question
from rigs.models import PatchQuestion, Rig
from rigs.models.parts import Part

# Columns with somebody's own words, and the columns that say whose.
WORDS: tuple[tuple[Model, tuple[str, ...], tuple[str, ...]], ...] = (
    (Note, ("words",), ("said_by_player",)),
    (Note, ("words", "reading"), ("written_by",)),
    (Note, ("settled_words",), ("settled_by",)),
    (Question, ("words",), ("asked_by",)),
    (Answer, ("words",), ("answered_by",)),
    (PatchQuestion, ("answer",), ("answered_by",)),
)
# Not swept for mentions: what the removal itself writes, and where text and digest go together.
_APART: tuple[Model, ...] = (PersonalText, Removal, Production)
# No archive carries them; how they lead to their production.
_BESIDES: dict[Model, str] = {OneTimeLink: "production", GuestLink: "production"}
_FIXED_BESIDES: dict[Model, str] = {GuestChange: "link__production"}
_TEXT = (models.CharField, models.TextField, models.JSONField)


def changeable() -> Iterator[Model]:
    """Tables of a production whose rows people change; rigs change by their history alone."""
    every: tuple[Model, ...] = (*tables(), *_BESIDES)
    for model in every:
        if not (is_append_only(model) or issubclass(model, Part | Rig) or model in _APART):
            yield model


def fixed() -> Iterator[Model]:
    """The others, in which a name typed into a text stays: histories and what they lead to."""
    for model in (*tables(), *_FIXED_BESIDES):
        if model not in _APART and (is_append_only(model) or issubclass(model, Part | Rig)):
            yield model


def text_columns(model: Model) -> list[models.Field[Any, Any]]:
    """Those in which anybody can write; no choices, no digests."""
    return [
        field
        for field in model._meta.concrete_fields
        if isinstance(field, _TEXT)
        and not field.choices
        and not field.primary_key
        and getattr(field, "max_length", None) != 64
    ]


def name_columns(model: Model) -> Iterator[tuple[str, str]]:
    """A pointer to an account, and the column beside it that repeats the name of then."""
    columns = {field.name for field in model._meta.concrete_fields}
    for field, target in pointers(model):
        for name in (f"{field.name}_name", f"{field.name.removesuffix('_by')}_name"):
            if target is User and name in columns:
                yield field.name, name


def who_left(production: Production) -> list[User]:
    """Accounts that are in it no more, and that rows of it point at; by name. Two queries.

    Whoever was forgotten is not among them, unless something of theirs came after.
    """
    tables_of_it: tuple[Model, ...] = (*tables(), *_BESIDES)
    named = [
        rows_in(model, production).order_by().values_list(field.attname)
        for model in tables_of_it
        for field, target in pointers(model)
        if target is User
    ]
    keys = [key for (key,) in named[0].union(*named[1:]) if key]
    forgotten = Removal.objects.filter(production=production, person__isnull=False)
    kept = PersonalText.objects.filter(production=production, removal=None, person__isnull=False)
    gone = Q(pk__in=forgotten.values("person")) & ~Q(pk__in=kept.values("person"))
    left = User.objects.filter(pk__in=keys).exclude(memberships__production=production)
    return list(left.exclude(gone).exclude(email__endswith=FORGOTTEN).order_by("name", "pk"))


def rows_in(model: Model, production: Production) -> models.QuerySet[Any]:
    if path := (_BESIDES | _FIXED_BESIDES).get(model):
        return model._default_manager.filter(**{path: production})
    return rows_of(model, production)


def rename(subject: Subject, instead: str, done: Counter[str]) -> None:
    """Put `instead` where the name of the account is repeated."""
    if subject.person is None:
        return
    for model in changeable():
        for pointer, name in name_columns(model):
            rows = rows_in(model, subject.production).filter(**{pointer: subject.person})
            done[_("names beside what they did")] += rows.order_by().update(**{name: instead})


def empty_words(subject: Subject, instead: str, done: Counter[str]) -> None:
    """Put `instead` where their own words are."""
    if subject.typed:
        asked = rows_in(PatchQuestion, subject.production).order_by()
        own = asked.filter(asked_name=GuestAuthor(subject.typed).name).exclude(words="")
        what = _("words of {records}").format(records=PatchQuestion._meta.verbose_name_plural)
        done[what] += own.update(words=instead)
    who = {User: subject.person, Player: subject.player}
    for model, columns, whose in WORDS:
        for pointer in whose:
            field: Any = model._meta.get_field(pointer)
            somebody = who[field.related_model]
            if somebody is None:
                continue
            rows = rows_in(model, subject.production).filter(**{pointer: somebody}).order_by()
            if pointer == "written_by":  # what somebody else said is that person's
                rows = rows.filter(said_by_player=None, said_by_name="")
            for column in columns:
                count = rows.exclude(**{column: ""}).update(**{column: instead})
                what = _("words of {records}").format(records=model._meta.verbose_name_plural)
                done[what] += count


def take_out_mentions(
    subject: Subject, names: list[str], mention: re.Pattern[str], done: Counter[str]
) -> None:
    """Leave … for their name in whatever others wrote and can still be changed."""
    for model in changeable():
        columns = text_columns(model)
        for row in _mentioning(model, columns, subject.production, names):
            changed = {}
            for column in columns:
                before = getattr(row, column.attname)
                after = without(before, mention)
                if after != before:
                    changed[column.attname] = after
            if changed:
                model._base_manager.filter(pk=row.pk).update(**changed)
                done[_("mentions in what others wrote")] += 1


def without(value: Any, mention: re.Pattern[str]) -> Any:
    """`value`, a text or made of such, with … for each mention."""
    if isinstance(value, str):
        return mention.sub(TAKEN_OUT, value)
    if isinstance(value, dict):
        return {key: without(each, mention) for key, each in value.items()}
    if isinstance(value, list):
        return [without(each, mention) for each in value]
    return value


def stand_in(person: User, production: Production, instead: str) -> None:
    """Whose account goes on elsewhere is no longer named here: a closed account takes its place."""
    made = User(name=instead[:120], is_active=False)
    made.email = f"{made.pk}{FORGOTTEN}"
    made.set_unusable_password()
    made.save()
    for model in changeable():
        for field, target in pointers(model):
            if target is User:
                rows = rows_in(model, production).filter(**{field.name: person}).order_by()
                rows.update(**{field.name: made})


def _mentioning(
    model: Model,
    columns: Iterable[models.Field[Any, Any]],
    production: Production,
    names: list[str],
) -> Iterator[Any]:
    where = Q()
    for column in columns:
        for name in names:
            where |= Q(**{f"{column.attname}__icontains": name})
    if where:
        yield from rows_in(model, production).filter(where).order_by("pk")


def staying(subject: Subject, names: list[str], mention: re.Pattern[str]) -> Counter[str]:
    """How many rows that cannot be changed hold a name in the clear, by what they are."""
    found: Counter[str] = Counter()
    for model in fixed():
        columns = text_columns(model)
        for row in _mentioning(model, columns, subject.production, names):
            held = [row.__dict__[column.attname] for column in columns]
            # References are no text; JSON is searched as it is spelt.
            told = json.dumps([str(each) for each in held], ensure_ascii=False)
            if mention.search(told):
                found[str(model._meta.verbose_name_plural)] += 1
    return found

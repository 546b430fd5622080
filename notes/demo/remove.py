"""Take the demonstration out of a database, whole, where nobody has written into it."""

from __future__ import annotations

from itertools import islice
from typing import Any

from django.apps import apps
from django.db import connection, models, transaction
from django.db.models import ProtectedError, Q

from core.append_only import set_aside
from core.models import Membership, Production, Removal, User
from core.owner import Model, path_to_production
from core.personal.opening import FORGOTTEN
from core.proof.entries import silent
from notes.archive.files import named_by
from notes.archive.restore import take_away
from notes.archive.tables import APPS, rows_of
from notes.demo import cast
from notes.demo.written import differences
from notes.models import Demonstration

NAMED = 4  # as many kinds of records are named


class CannotBeRemoved(Exception):
    """There is no demonstration, or it holds what somebody wrote. The message says which."""


@transaction.atomic
def remove() -> None:
    """Delete its production with everything in it, its people, and the files nobody else names.

    History is append-only, so its triggers are set aside for this one transaction, in which the
    tables are locked. Raises CannotBeRemoved; then everything stays.
    """
    demonstration = _demonstration()
    production = demonstration.production
    # Whoever writes holds this row or waits for it: nothing comes in between look and deletion.
    Production.objects.select_for_update().get(pk=production.pk)
    people = _people(production)
    with set_aside(connection):
        _refuse_if_written(demonstration)
        _refuse_if_elsewhere(people, production)
        files = list(named_by(production))
        with silent():  # its log goes, too
            for model in _models():
                # Raw, because PROTECT would refuse rows whose pointers go in the same transaction.
                _rows(model, production)._raw_delete(connection.alias)
        _remove_people(people)
        # Now and not at the commit: what still points at a deleted row is found in this
        # transaction.
        connection.check_constraints()
    # Not before the commit, and only those that no row of another production names by then.
    transaction.on_commit(lambda: take_away(files))


def _people(production: Production) -> list[User]:
    """Those of the story, and the closed account of whoever was forgotten in it."""
    told = Q(email__in=[person.email for person in cast.PEOPLE])
    forgotten = Removal.objects.filter(production=production).values("person")
    return list(User.objects.filter(told | Q(pk__in=forgotten, email__endswith=FORGOTTEN)))


def _demonstration() -> Demonstration:
    found = Demonstration.objects.select_related("production").first()
    if found is not None:
        return found
    if Production.objects.filter(name=cast.PRODUCTION).exists():
        raise CannotBeRemoved(
            "This demonstration was loaded by an earlier release, which did not record what it "
            "wrote. So nobody can tell whether somebody wrote into it, and it stays."
        )
    raise CannotBeRemoved("There is no demonstration in this database.")


def _refuse_if_written(demonstration: Demonstration) -> None:
    changed = list(islice(differences(demonstration), NAMED + 1))
    if changed:
        named = ", ".join(changed[:NAMED]) + (" …" if len(changed) > NAMED else "")
        raise CannotBeRemoved(
            "Somebody wrote into the demonstration since it was loaded, and what was written here "
            f"is never deleted. It differs in: {named}. Start your own production with another "
            "database instead (DATABASE_URL or TONELEDGER_DATA)."
        )


def _refuse_if_elsewhere(people: list[User], production: Production) -> None:
    others = Membership.objects.filter(user__in=people).exclude(production=production)
    first = others.select_related("user", "production").first()
    if first is not None:
        raise CannotBeRemoved(
            f"{first.user} of the demonstration is also in {first.production}, and would be "
            "missing there. Take them out of it first."
        )


def _models() -> list[Model]:
    """Every table whose rows lead to a production, the production last.

    Foreign keys are checked at the end, so the order of the others does not matter.
    """
    found = []
    for app in APPS:
        for model in apps.get_app_config(app).get_models(include_auto_created=True):
            try:
                path_to_production(model)
            except LookupError:
                continue
            if model is not Production:
                found.append(model)
    # A row that is found by way of another must go before that one.
    found.sort(key=lambda model: -path_to_production(model).count("__"))
    return [*found, Production]


def _rows(model: Model, production: Production) -> Any:
    rows: models.QuerySet[Any] = rows_of(model, production)
    return rows.order_by()


def _remove_people(people: list[User]) -> None:
    for person in people:
        try:
            person.delete()
        except ProtectedError as kept:
            what = next(iter(kept.protected_objects))
            raise CannotBeRemoved(
                f"{person} of the demonstration wrote into another production ({what}), and what "
                "was written here is never deleted."
            ) from None

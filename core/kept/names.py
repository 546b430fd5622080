"""A person who takes another name has it everywhere at once, also where they are not a member."""

from __future__ import annotations

from typing import Any

from django.db.models.signals import pre_save

from core.models import KeptResult, User


def connect() -> None:
    pre_save.connect(on_person, sender=User, dispatch_uid="kept results")


def on_person(sender: type[User], instance: User, update_fields: Any = None, **_: Any) -> None:
    """What is lasting holds names of its own, as they were."""
    if instance._state.adding or (update_fields is not None and "name" not in update_fields):
        return
    same = User.objects.filter(pk=instance.pk, name=instance.name)
    # Names are no entries of a log: an account belongs to no production.
    if not same.exists():
        KeptResult.objects.filter(lasting=False).delete()

"""Keep the search up to date with songs, shows and people, inside the transaction that saves them.

A show's entry carries the name of its leg, a song's those of its sections, a person's that of the
musician they are. So an entry is made anew when one of these names changes.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.db.models import Model, Q
from django.db.models.signals import post_delete, post_save

from core.models import (
    Leg,
    Membership,
    Player,
    SearchEntry,
    Section,
    Show,
    ShowSet,
    Song,
    User,
)
from core.search import entries
from core.search.backend import forget, index_all


def connect() -> None:
    """Called once, when the app is ready."""
    for sender, saved in (
        (Song, on_song),
        (Section, on_section),
        (Leg, on_leg),
        (Show, on_show),
        (Player, on_player),
        (User, on_user),
        (Membership, on_membership),
    ):
        _follow(sender, saved)
    post_delete.connect(on_membership, sender=Membership, dispatch_uid="search member removed")


def _follow(sender: type[Model], saved: Any) -> None:
    # The uid keeps a receiver from being connected twice where ready() runs again.
    post_save.connect(saved, sender=sender, dispatch_uid=f"search of core {sender.__name__}")


def on_song(
    instance: Song, created: bool, update_fields: Iterable[str] | None = None, **_: Any
) -> None:
    words = {"title", "reference", "notes", "retired_at"}
    if created or update_fields is None or words & set(update_fields):
        index_all(entries.songs(Song.objects.filter(pk=instance.pk)))


def on_section(instance: Section, **_: Any) -> None:
    index_all(entries.songs(Song.objects.filter(pk=instance.song_id)))


def on_leg(instance: Leg, created: bool, **_: Any) -> None:
    index_all(entries.legs(Leg.objects.filter(pk=instance.pk)))
    if not created:
        index_all(entries.shows(Show.objects.filter(leg=instance)))


def on_show(instance: Show, created: bool, **_: Any) -> None:
    index_all(entries.shows(Show.objects.filter(pk=instance.pk)))
    if not created:
        played = Song.objects.filter(set_entries__set__show=instance).distinct()
        index_all(entries.songs(played))


def on_set(own: ShowSet, songs: Iterable[UUID | None]) -> None:
    """The set of a show was changed, and `songs` are played there now or are no longer."""
    index_all(entries.songs(Song.objects.filter(pk__in=[song for song in songs if song])))
    index_all(entries.shows(Show.objects.filter(pk=own.show_id)))


def on_player(instance: Player, created: bool, **_: Any) -> None:
    index_all(entries.players([instance]))
    if not created:
        _put_in_members(Q(player=instance))


def on_user(
    instance: User, created: bool, update_fields: Iterable[str] | None = None, **_: Any
) -> None:
    """Logging in saves an account, too, but changes no name."""
    if not created and (update_fields is None or "name" in update_fields):
        index_all(entries.members(Membership.objects.filter(user=instance)))


def on_membership(instance: Membership, **_: Any) -> None:
    held = Membership.objects.filter(production=instance.production_id, user=instance.user_id)
    if not index_all(entries.members(held)):
        key = entries.subject_of_member(instance.production_id, instance.user_id)
        forget(SearchEntry.Kind.PERSON, key)


def _put_in_members(where: Q) -> None:
    """Index anew the members of whom `where` finds a membership, each with all their roles."""
    found = Membership.objects.filter(where)
    held = Membership.objects.filter(
        production__in=found.values("production"), user__in=found.values("user")
    )
    index_all(entries.members(held))

"""Who changes what is of a whole production takes turns with others who do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError

from core.models import Production, Show

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


def take_turn(production: Production, show: Show | None, refused: StrOrPromise) -> None:
    """Wait for whoever changes it already, until the transaction ends. Raises ValidationError with
    the words `refused` where `show` is retired."""
    Production.objects.select_for_update().get(pk=production.pk)
    if show is not None and Show.objects.get(pk=show.pk).is_retired:
        raise ValidationError(refused)

"""Write lines of the carnet list. Each write is one transaction, with its line in the history."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext_noop

from core.languages.choice import as_stored
from core.languages.sentences import Sentences
from core.models import User
from core.services.changed import changed_retold, changed_words
from rigs.models import CarnetGoods, CarnetGoodsChange

WRITTEN = (
    "kind",
    "what",
    "pieces",
    "packed_in",
    "country_of_origin",
    "worth",
    "currency",
    "weight_kg",
    "size",
    "serial",
)


class Says(Sentences):
    """What the history of a line says, besides what differs in it."""

    ON_LIST = gettext_noop("On the list: {goods}.")
    TAKEN_OFF = gettext_noop("Taken off the list.")


@CarnetGoodsChange.told_by
def told_of(change: CarnetGoodsChange) -> list[str]:
    """What changed in a line, in the language of the reader."""
    return [Says.retold(changed_retold(each, CarnetGoods, WRITTEN)) for each in change.words]


@transaction.atomic
def save_goods(goods: CarnetGoods, *, by: User) -> list[str]:
    """Store a line that was checked; what changed in sentences. Writes nothing if nothing did."""
    if goods._state.adding:
        words = [Says.ON_LIST.in_english(goods=goods)]
    else:
        with as_stored():
            words = changed_words(CarnetGoods.objects.get(pk=goods.pk), goods, WRITTEN)
    if words:
        goods.save()
        CarnetGoodsChange(goods=goods, words=words).put_down(by)
    return words


@transaction.atomic
def take_off(goods: CarnetGoods, *, by: User) -> None:
    """Take a line off the list. What was said about it stays."""
    held = CarnetGoods.objects.select_for_update().get(pk=goods.pk)
    if held.is_retired:
        return  # pressed twice
    held.retire()
    CarnetGoodsChange(goods=held, words=[Says.TAKEN_OFF.in_english()]).put_down(by)

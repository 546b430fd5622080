"""Write lines of the carnet list. Each write is one transaction, with its line in the history."""

from __future__ import annotations

from django.db import transaction

from core.languages.choice import as_stored
from core.models import User
from core.services.changed import changed_words
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


@transaction.atomic
def save_goods(goods: CarnetGoods, *, by: User) -> list[str]:
    """Store a line that was checked; what changed in sentences. Writes nothing if nothing did."""
    if goods._state.adding:
        words = [f"On the list: {goods}."]
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
    CarnetGoodsChange(goods=held, words=["Taken off the list."]).put_down(by)

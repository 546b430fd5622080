"""What was published is put on the shelf before its readers come, as most of them will open it."""

from __future__ import annotations

import time
from collections import Counter, defaultdict
from itertools import product

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import get_language

from core.access.loaders import load_people
from core.kept.shelf import Shelf
from core.languages.choice import language_for
from core.models import User
from core.one_pass import one_pass
from notes.handover.orders import ORDERS, order_for
from notes.handover.said import Way, published_said, since_said, telling_of
from notes.models import OF_LINE_CHECKS, PublishedHandover

SECONDS = 2.0  # whoever publishes waits; what is not made by then is made for who asks first


def soon(published: PublishedHandover, by: User) -> None:
    """Once the transaction of now has ended. What fails then undoes nothing: whoever comes first
    has it made, as ever."""
    transaction.on_commit(lambda: make_ready(published, by), robust=True)


def make_ready(published: PublishedHandover, by: User) -> None:
    """Short and whole, in the languages and orders of who is in the production; those of `by` first
    and then those of most readers, until `SECONDS` are over."""
    shelf = Shelf(published.production_id, without=OF_LINE_CHECKS)
    until = time.monotonic() + SECONDS
    if not shelf.keeps:
        return
    with one_pass():
        for language, orders in orders_by_language(published, by).items():
            with translation.override(language):
                make(shelf, published, orders, until)


def orders_by_language(published: PublishedHandover, by: User) -> dict[str, list[str]]:
    """Keys of orders as those who are in the production read first. One query.

    For whoever chose no language, the one in which it was published.
    """
    here = get_language() or settings.LANGUAGE_CODE
    people = load_people(published.production)
    readings = [(language_for(p.user, here), order_for("", p.roles).key) for p in people]
    own = [each for each, person in zip(readings, people, strict=True) if person.user == by]
    found: dict[str, list[str]] = defaultdict(list)
    for language, order in dict.fromkeys([*own, *(r for r, _ in Counter(readings).most_common())]):
        found[language].append(order)
    return found


def make(shelf: Shelf, published: PublishedHandover, orders: list[str], until: float) -> None:
    """In the language of now, until that moment (time.monotonic)."""
    telling = telling_of(published)
    since_said(shelf, published)
    for order, long in product(orders, (False, True)):
        if time.monotonic() > until:
            return
        published_said(shelf, published, Way(ORDERS[order], long), telling)

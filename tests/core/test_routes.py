"""Addresses made quickly are those that Django makes."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest
from django.template import Context, Template
from django.urls import NoReverseMatch, get_resolver, reverse

from core.routes import address_of

KEYS = [UUID(int=n * 0x0123_4567_89AB_CDEF) for n in range(1, 8)]


def every_name() -> list[tuple[str, list[Any]]]:
    """The names of all addresses that take ids and numbers alone, with some."""
    told = []
    resolver = get_resolver()
    for space, (_, inner) in resolver.namespace_dict.items():
        if space in ("core", "rigs", "notes"):
            for name in filter(lambda key: isinstance(key, str), inner.reverse_dict.keys()):
                for options, _, _, converters in inner.reverse_dict.getlist(name):
                    params = [*converters] if converters else []
                    kinds = [type(converters[each]).__name__ for each in params]
                    if set(kinds) <= {"UUIDConverter", "IntConverter"} and options:
                        args = [
                            KEYS[n] if kind == "UUIDConverter" else n + 7
                            for n, kind in enumerate(kinds)
                        ]
                        told.append((f"{space}:{name}", args))
    return told


def as_django(name: str, args: list[Any]) -> str | None:
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return None


def test_an_address_is_that_of_django_with_ids_and_with_their_text() -> None:
    compared = 0
    for name, args in every_name():
        wanted = as_django(name, args)
        if wanted is None:
            continue
        for _ in range(2):  # asked of Django, and from what was kept
            assert address_of(name, *args) == wanted
        texts = [str(arg) if isinstance(arg, UUID) else arg for arg in args]
        assert address_of(name, *texts) == wanted
        compared += 1
    assert compared > 100


@pytest.mark.parametrize("args", [(), (3,), ("not an id",), (KEYS[0], KEYS[1])])
def test_what_fits_no_address_is_refused_as_django_does(args: tuple[Any, ...]) -> None:
    for _ in range(2):
        with pytest.raises(NoReverseMatch) as ours:
            address_of("core:production", *args)
        with pytest.raises(NoReverseMatch) as theirs:
            reverse("core:production", args=args)
        assert str(ours.value) == str(theirs.value)


def test_the_tag_links_to_it_and_refuses_or_leaves_empty_what_is_not_there() -> None:
    text = "{% url 'core:production' key %}|{% url 'core:production' 5 as none %}{{ none }}|"
    context = Context({"key": KEYS[0]})
    wanted = reverse("core:production", args=[KEYS[0]])
    assert Template(text).render(context) == f"{wanted}||"
    with pytest.raises(NoReverseMatch):
        Template("{% url 'core:production' 5 %}").render(context)

"""Whatever two people type into one form, what each typed is kept or asked about."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rigs.changes.edits import Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import Input
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World

FIELDS = ("name", "stand", "notes", "aimed_at", "number", "pan")
WORDS = st.sampled_from(["a", "b", "<i>", "né & co"])
NUMBERS = st.sampled_from(["1", "2", "3"])
TYPED = st.fixed_dictionaries(
    {}, optional={name: NUMBERS if name in ("number", "pan") else WORDS for name in FIELDS}
)
CHOICES = st.fixed_dictionaries({name: st.sampled_from(["typed", "now"]) for name in FIELDS})
WHY = {"reason_kind": "room", "reason_words": "Louder."}


def stands(world: World) -> dict[str, str]:
    entry = Input.objects.get(pk=world.input.pk)
    return {name: str(getattr(entry, name)) for name in FIELDS}


@pytest.mark.django_db
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(mine=TYPED, theirs=TYPED, choices=CHOICES)
def test_every_value_is_kept_or_asked_about(
    world: World, mine: dict[str, str], theirs: dict[str, str], choices: dict[str, str]
) -> None:
    page = Page(as_user(world.tech), at(world, "input_edit", world.input))
    before = stands(world)
    world.record(
        Set(str(world.input.pk), "input", theirs),
        author=world.engineer,
        reason=Reason(ReasonKind.ROOM, "Louder."),
    )
    now = stands(world)
    clashing = {
        n for n, v in mine.items() if v != before[n] and now[n] != before[n] and v != now[n]
    }
    answer = page.send(**mine, **WHY)
    assert answer.status == (409 if clashing else 302)
    if clashing:
        assert {panel.name for panel in answer.response.context["form"].panels} == clashing
        assert stands(world) == now
        answer = answer.send(**{f"choice-{name}": choices[name] for name in clashing})
        assert answer.status == 302
    expected = now | {
        n: v
        for n, v in mine.items()
        if v != before[n] and (n not in clashing or choices[n] == "typed")
    }
    assert stands(world) == expected

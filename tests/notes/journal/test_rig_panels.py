"""What notes shows on the pages of rigs and inputs."""

from __future__ import annotations

from typing import Any

import pytest
from django.template.loader import render_to_string
from django.test import RequestFactory

from core.access.context import May
from core.places import Panel
from notes.journal.panels import NEWEST, of_input, still_open, why
from notes.trials.decide import choose
from rigs.places import INPUT, RIG_OPEN, RIG_WHY
from tests.support.listening import (
    change_for,
    hear,
    hear_after,
    heard_alternative,
    open_a_trial,
    turn_for,
)
from tests.support.world import World

REQUEST: Any = RequestFactory().get("/")


def shown(panel: Panel, world: World, role: str = "engineer") -> str:
    """As a rig's page renders it."""
    page = {"production": world.production, "may": May(frozenset({role}))}
    return render_to_string(panel.template, {**page, **panel.context})


def test_the_app_registers_its_panels(world: World) -> None:
    found = {
        hook.about: [panel.template for panel in hook.call(REQUEST, subject)]
        for hook, subject in (
            (RIG_WHY, world.rig),
            (RIG_OPEN, world.rig),
            (INPUT, world.input),
        )
    }
    assert "notes/journal/panels/why.html" in found[RIG_WHY.about]
    assert "notes/journal/panels/open.html" in found[RIG_OPEN.about]
    assert "notes/journal/panels/input.html" in found[INPUT.about]


def test_why_shows_the_latest_reasoned_changes_with_their_thread(world: World) -> None:
    note = hear(world, "I vanish.")
    hear_after(world, change_for(world, note), "helped", words="There it is.")
    world.turn("1:00")
    panel = why(REQUEST, world.rig)
    assert [entry.revision.number for entry in panel.context["entries"]] == [2]
    text = shown(panel, world)
    assert text.index("I vanish.") < text.index("Eskvane 4") < text.index("There it is.")


def test_why_shows_no_more_than_the_newest(world: World) -> None:
    for at in range(NEWEST + 2):
        turn_for(world, f"{9 + at % 3}:30", hear(world))
    numbers = [e.revision.number for e in why(REQUEST, world.rig).context["entries"]]
    assert numbers == list(range(NEWEST + 3, 3, -1))


def test_a_rig_that_was_never_changed_says_so(world: World) -> None:
    assert "Nothing was changed for a reason yet" in shown(why(REQUEST, world.rig), world)


def test_open_shows_what_waits(world: World) -> None:
    waits, done = hear(world, "Waits."), hear(world, "Done.", verdict="keep")
    trial = open_a_trial(world, waits)
    panel = still_open(REQUEST, world.rig)
    assert panel.context["open_notes"] == [waits]
    assert panel.context["open_trials"] == [trial]
    text = shown(panel, world)
    assert trial.question in text
    assert done.words not in text


def test_a_decided_trial_is_open_no_more(world: World) -> None:
    chosen = heard_alternative(world, open_a_trial(world), world.other_mic)
    choose(alternative=chosen, words="Clear.", by=world.tech, base=1)
    assert still_open(REQUEST, world.rig).context["open_trials"] == []


def test_an_input_shows_what_was_tried_and_rejected_and_why(world: World) -> None:
    trial = open_a_trial(world, hear(world, "Too boomy."))
    chosen = heard_alternative(world, trial, world.other_mic)
    heard_alternative(world, trial, world.mic, words="Woolly.")
    choose(alternative=chosen, words="Clear.", by=world.tech, base=1)
    text = shown(of_input(REQUEST, world.input), world)
    assert "Corvane Hollow 2: tried and rejected, because: Woolly." in text
    assert "Too boomy." in text
    assert "Clear." in text


def test_an_input_offers_a_trial_to_who_may_run_one(world: World) -> None:
    assert "Open a trial" in shown(of_input(REQUEST, world.input), world, "tech")
    assert "Open a trial" not in shown(of_input(REQUEST, world.input), world, "player")


@pytest.mark.parametrize("count", [1, 10])
def test_queries_of_the_panels_do_not_grow(
    world: World, count: int, django_assert_num_queries: Any
) -> None:
    for at in range(count):
        note = hear(world)
        turn_for(world, f"{9 + at % 3}:30", note)
        open_a_trial(world, note)
    with django_assert_num_queries(12):
        shown(why(REQUEST, world.rig), world)
    with django_assert_num_queries(6):
        shown(still_open(REQUEST, world.rig), world)
    with django_assert_num_queries(6):
        shown(of_input(REQUEST, world.input), world)

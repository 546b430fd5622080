"""What one page is sure of, no other refuses: delay and polarity come from one estimator.

Delays and polarities are those that tests.support.captures makes.
"""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest
from django.core.cache import cache
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from notes.captures.measure import measure
from notes.captures.store import save_pair
from notes.comparing.sides import side_by_side
from notes.listening.delay import CERTAIN
from notes.listening.doubt import LOUDEST_OPEN, RIVAL, TWO_PERFORMANCES
from notes.listening.relation import relate
from rigs.changes.edits import Add
from rigs.models import Input
from tests.support.captures import RATE, SOURCES, Sound, make_pair, two_takes
from tests.support.sounds import as_file, bring_clip
from tests.support.world import World, make_device

NEAR_S = 0.0003  # 10 cm of air
PLAYED = [name for name in SOURCES if name != "held"]
ROOT = Path(__file__).parents[3]


def played_at_once(source: str, seed: int, bleed_db: float | None) -> tuple[Sound, Sound]:
    """A source, and a microphone on it that another source may bleed into."""
    pair = make_pair(source, seed)
    if bleed_db is None:
        return pair.first, pair.second
    other = make_pair("cymbals" if source != "cymbals" else "bass_line", seed + 500).first
    loud = np.sqrt((pair.second**2).mean() / (other**2).mean()) * 10 ** (bleed_db / 20)
    return pair.first, pair.second + loud * other


def too_short() -> tuple[Sound, Sound]:
    first, second = played_at_once("drum", 1, None)
    return first[: RATE * 9 // 20], second[: RATE * 9 // 20]


PAIRS = {
    "one note, at once": lambda: played_at_once("one_note", 0, None),
    "bass line, at once": lambda: played_at_once("bass_line", 1, None),
    "bass line, two takes": lambda: two_takes("bass_line", 1),
    "drum, two takes": lambda: two_takes("drum", 2),
    "drum, with bleed": lambda: played_at_once("drum", 3, -6),
    "held": lambda: played_at_once("held", 1, None),
    "too short": too_short,
}


@pytest.fixture
def di(world: World) -> Input:
    box = make_device(world.production, "Plain DI", form="di", principle="di_passive", pattern="")
    key = uuid4()
    fields = {"number": 8, "name": "Bass DI", "unit": str(world.unit.pk), "device": str(box.pk)}
    world.record(Add(str(key), "input", fields))
    return Input.objects.get(pk=key)


@pytest.mark.parametrize("name", PAIRS)
def test_both_pages_state_the_same_or_refuse_in_the_same_words(
    world: World, di: Input, name: str
) -> None:
    first, second = PAIRS[name]()
    one, other = bring_clip(world, as_file(first), input=di), bring_clip(world, as_file(second))
    measured = measure(one, other)
    cache.clear()
    beside = bring_clip(world, as_file(first))  # the same sound as a clip of the other input
    compared = side_by_side([beside, other])
    relation = compared.others[0].relation
    assert relation is not None
    # That the first is a DI is on record for the page of two captures alone: here its sound is a
    # clip of the microphone's input.
    assert replace(relation, direct=True).doubt == measured.relation.doubt
    doubt = relation.doubt
    if doubt is None:
        assert relation.delay_s == pytest.approx(measured.delay_s, abs=1e-9)
        assert relation.polarity == measured.polarity
        assert f"{abs(measured.delay_s) * 1000:.2f} ms" in compared.others[0].when_words
    else:
        assert doubt.sentences("A and B") in compared.caveats
        unheard = doubt == LOUDEST_OPEN and measured.is_certain
        assert unheard or doubt.sentences("Bass DI and Bass mic") == measured.words
        assert " ms" not in compared.others[0].when_words


@pytest.mark.parametrize("bleed_db", [None, -6.0])
@pytest.mark.parametrize("source", PLAYED)
def test_what_is_sure_is_right(source: str, bleed_db: float | None) -> None:
    made = make_pair(source, 0)
    found = relate(*played_at_once(source, 0, bleed_db), (RATE, RATE))
    # Where nothing else sounds, the first is as a DI has it.
    got = replace(found, direct=bleed_db is None)
    assert got.is_certain or bleed_db is not None
    if got.delay_s is not None:
        assert got.delay_s == pytest.approx(made.delay_s, abs=NEAR_S)
        assert got.polarity == made.polarity


@pytest.mark.parametrize("source", PLAYED)
def test_two_performances_are_asked_about_first(source: str) -> None:
    got = relate(*two_takes(source, 3), (RATE, RATE))
    assert got.doubt == TWO_PERFORMANCES
    assert got.delay_s is got.polarity is None


def test_two_performances_that_one_delay_fits_are_still_two() -> None:
    """Two takes over one hum from the mains, 40 dB below them: the hum alone has a delay."""
    first, second = two_takes("driven_guitar", 5)
    spin = np.random.default_rng(9)
    shared = 0.01 * spin.standard_normal(len(first))
    first, second = first / first.std(), second / second.std()
    got = relate(first + 8 * shared, second + 8 * shared, (RATE, RATE))
    assert got.best is not None
    assert got.best.confidence >= CERTAIN
    assert got.doubt == TWO_PERFORMANCES


def test_a_held_tone_is_one_performance_without_a_delay() -> None:
    made = make_pair("held", 2)
    got = relate(made.first, made.second, (RATE, RATE))
    assert got.one_performance
    assert got.doubt == RIVAL
    assert got.delay_s is got.polarity is None


def test_parts_cut_at_different_places_say_the_same_on_both_pages(world: World, di: Input) -> None:
    made = make_pair("drum", 4, clean=True, delay_s=0.0021, polarity=1)
    both = np.stack([made.first, made.second], axis=1)
    more = {"starts_s": 0.2, "seconds": 3}
    one = bring_clip(world, as_file(both), input=di, left=1, **more)
    other = bring_clip(world, as_file(both), left=2, starts_s=1.0)
    beside = bring_clip(world, as_file(both), left=1, **more)
    measured, compared = measure(one, other), side_by_side([beside, other]).others[0]
    assert measured.delay_s == pytest.approx(0.0021, abs=1e-5)
    assert compared.relation is not None
    assert compared.relation.delay_s == pytest.approx(measured.delay_s)
    assert "2.10 ms later than A" in compared.when_words


def test_nothing_but_the_estimator_correlates() -> None:
    """A second way to a delay would be a second doubt."""
    users = {
        path.relative_to(ROOT).as_posix()
        for path in [*ROOT.glob("notes/**/*.py"), *ROOT.glob("rigs/**/*.py")]
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.ImportFrom)
        and (node.module or "").startswith("notes.listening.")
        and {alias.name for alias in node.names} & {"align", "delay_between", "relate"}
    }
    assert users == {"notes/listening/relation.py", "notes/clips/relation.py"}


def test_the_page_of_two_captures_refuses_two_performances(
    client: Client, world: World, di: Input
) -> None:
    first, second = two_takes("drum", 1)
    one, other = bring_clip(world, as_file(first), input=di), bring_clip(world, as_file(second))
    client.force_login(world.engineer)
    address = reverse("notes:captures", args=[world.production.pk])
    text = client.get(address, {"first": one.pk, "second": other.pk}).content.decode()
    assert "Cannot tell how far apart Bass DI and Bass mic are in time" in text
    assert "two performances" in text
    assert "Record several separate notes or strokes through both at once" in text
    assert "Save this measurement" not in text


def test_what_an_older_method_kept_says_so(client: Client, world: World, di: Input) -> None:
    made = make_pair("drum", 2)
    one = bring_clip(world, as_file(made.first), input=di)
    kept = save_pair(measure(one, bring_clip(world, as_file(made.second))), by=world.engineer)
    client.force_login(world.engineer)
    address = reverse("notes:captures", args=[world.production.pk])
    assert "older method" not in client.get(address).content.decode()
    type(kept).objects.update(method="delay/1")
    assert "Measured by an older method." in client.get(address).content.decode()


def test_kept_measurements_of_an_older_method_are_measured_again_or_taken_back(
    world: World, di: Input, capsys: pytest.CaptureFixture[str]
) -> None:
    made, takes = make_pair("drum", 2), two_takes("drum", 1)
    one = bring_clip(world, as_file(made.first), input=di)
    holds = save_pair(measure(one, bring_clip(world, as_file(made.second))), by=world.engineer)
    refused = type(holds).objects.create(
        **{
            name: getattr(holds, name)
            for name in (
                "production",
                "rig",
                "delay_s",
                "polarity",
                "source_polarity",
                "confidence",
                "alike",
                "kept_by",
            )
        },
        first=bring_clip(world, as_file(takes[0]), input=di),
        second=bring_clip(world, as_file(takes[1])),
        method="delay/1",
    )
    type(holds).objects.filter(pk=holds.pk).update(method="delay/1", delay_s=0.04)
    call_command("measure_clips")
    for pair in (holds, refused):
        pair.refresh_from_db()
    assert holds.taken_back_at is None
    assert holds.delay_s == pytest.approx(made.delay_s, abs=NEAR_S)
    assert refused.taken_back_at is not None
    assert refused.taken_back_by is None
    assert "taken back: today's method refuses it" in capsys.readouterr().out

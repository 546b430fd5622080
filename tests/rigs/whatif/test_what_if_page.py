"""Asking what would be if, on a rig's page, and making it so."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from core.models import Leg, RehearsalRoom, Show
from core.models.roles import Role
from rigs.changes.edits import Add, Set
from rigs.changes.reasons import MESSAGE, Reason, ReasonKind
from rigs.editing.guarded import STALE
from rigs.models import Device, Input, Link, Unit
from tests.support.pages import as_user, at, says
from tests.support.posting import shown
from tests.support.world import World, make_device, make_world

# The id of nothing; fixed, so that every process collects the same tests.
NOBODY = "5f0e1d52-0c0b-4f2a-9d8e-7b1a2c3d4e5f"

MOVED = Reason(ReasonKind.ROOM, "Boomy.")
# The illustrative coil of set A of the check against ngspice (common practice, no source).
COIL = {"pickup_inductance": "2.4", "pickup_resistance": "6000", "pickup_capacitance": "1.1E-10"}
CABLE = {
    "about": "cable",
    "ask": "1",
    "length_now": "5 m",
    "per_metre_now": "100",
    "load_now": "200",
    "length_then": "10 m",
    "per_metre_then": "100",
    "load_then": "200",
}
AIR = {
    "about": "air",
    "ask": "1",
    "celsius": "15",
    "humidity": "20",
    "kilopascals": "",
    "distance": "50 m",
}


@pytest.fixture
def strung(world: World) -> World:
    """The small rig with a bass before its head, and a DI on the bass."""
    bass, cable = str(uuid4()), str(uuid4())
    di = make_device(
        world.production,
        "Span",
        form="di",
        principle="di_active",
        pattern="",
        impedance_ohm=Decimal(1_000_000),
    )
    facts = [
        Add(str(uuid4()), "fact", {"unit": bass, "key": key, "value": value})
        for key, value in COIL.items()
    ]
    world.record(
        Add(bass, "unit", {"name": "Long-scale bass", "gear": "bass", "tuning": "E1 A1 D2 G2"}),
        Add(cable, "link", {"source": bass, "target": str(world.unit.pk), "length_m": "5"}),
        Add(str(uuid4()), "input", {"name": "Bass DI", "unit": bass, "device": str(di.pk)}),
        *facts,
    )
    return world


def ask(world: World, role: str = Role.ENGINEER, **query: Any) -> Any:
    response = as_user(world.people[role]).get(at(world, "rigs:what_if", world.rig.pk), query)
    assert response.status_code == 200
    return response


def page(world: World, role: str = Role.ENGINEER, **query: Any) -> str:
    return str(ask(world, role, **query).content.decode())


def subject(world: World, kind: type[Any], **which: Any) -> str:
    return str(kind.objects.get(rig=world.rig, **which).pk)


def move(world: World, distance: str, **more: Any) -> dict[str, Any]:
    return {
        "about": "distance",
        "ask": "1",
        "subject": str(world.input.pk),
        "distance": distance,
        "celsius": "20",
        **more,
    }


def make(world: World, asked: dict[str, Any], role: str = Role.TECH, **typed: str) -> Any:
    """Ask, then send the proposed change back with some of it typed over."""
    client = as_user(world.people[role])
    response = client.get(at(world, "rigs:what_if", world.rig.pk), asked)
    proposal = response.context["proposal"]
    url = at(world, "rigs:what_if_change", world.rig.pk)
    return client.post(
        f"{url}?kind={proposal.kind}&part={proposal.part}",
        {
            "base": response.context["proposal_form"]["base"].value(),
            proposal.field: proposal.value,
            **typed,
        },
        follow=True,
    )


def test_starts_with_what_the_rig_says(strung: World) -> None:
    form = ask(strung).context["form"]
    assert not form.is_bound
    assert form.initial["length_now"] == "5 m"
    # The next unit states no input; the DI on the bass does.
    assert form.initial["load_now"] == "1000"
    assert "Long-scale bass → Head" in page(strung)


def test_cable_answer_in_words_rows_and_plot(strung: World) -> None:
    told = page(strung, **CABLE, subject=subject(strung, Link))
    # ngspice: 4047 Hz with 610 pF into 200 kΩ, tolerance 0.3 %.
    assert "The resonance goes from 4.05 kHz to 3.0" in told
    assert "The pickup with its cable and input, now and then" in told
    assert "style=" not in told
    assert "<style" not in told


def test_missing_figures_of_a_pickup_are_said(strung: World) -> None:
    coil = strung.rig.facts.get(key="pickup_inductance")  # type: ignore[attr-defined]
    strung.record(Set(str(coil.pk), "fact", {"key": "weight", "value": "4"}))
    told = page(strung, **CABLE)
    assert "Not stated: pickup inductance. Enter it as a figure first." in told
    assert "Propose this change" not in told


def test_distance_answer_against_the_di(strung: World) -> None:
    told = page(strung, **move(strung, "70 mm"))
    # 20 log10(2) = 6.0206 dB; 35 mm at 343.2 m/s is 0.102 ms.
    assert "6.0 dB less, and 0.10 ms later." in told
    assert "First notches with Bass DI" in told


def test_distance_not_measured_is_said(strung: World) -> None:
    strung.record(Set(str(strung.input.pk), "input", {"distance_m": None}), reason=MOVED)
    told = page(strung, **move(strung, "70 mm"))
    assert "The distance now is not measured: nothing to compare with." in told
    assert "Propose this change" not in told


def test_air_answer_against_the_rehearsal_room(strung: World) -> None:
    RehearsalRoom.objects.create(
        production=strung.production,
        name="Dairy",
        temperature_c="15",
        humidity_pct="50",
        listening_distance_m="5",
    )
    told = page(strung, **AIR)
    # ISO 9613-2 table 2 as printed: 202 dB/km over 50 m against 129 dB/km over 5 m.
    assert "At 8 kHz 9.4 dB less" in told
    assert "−10.1 dB" in told
    assert "Propose this change" not in told


def test_air_of_a_show_that_is_asked_for(strung: World) -> None:
    leg = Leg.objects.create(
        production=strung.production, name="L", starts_on="2020-09-01", ends_on="2020-09-30"
    )
    past = Show.objects.create(leg=leg, held_on="2020-09-02", room="Barn", temperature_c="12")
    assert "Nothing to ask about" in page(strung, about="air")
    response = ask(strung, about="air", subject=str(past.pk))
    assert response.context["form"].initial["celsius"] == "12"
    assert response.context["form"].initial["humidity"] == ""


def test_tuning_answer_with_what_the_high_pass_takes(strung: World) -> None:
    told = page(strung, about="tuning", ask="1", tuning="D1 A1 D2 G2")
    assert "The lowest note goes from E1 to D1 (36.7 Hz)." in told
    assert "−20.6 %" in told  # 2^(-1/3) = 0.7937
    # Butterworth high-pass at 30 Hz: at 36.708 Hz (D1) -1.60 dB (12 dB/octave) and -1.14 (18).
    assert "D1: −1.6 dB to −1.1 dB" in told


@pytest.mark.parametrize(
    ("typed", "field", "error"),
    [
        ({"length_then": "-1 m"}, "length_then", "A distance cannot be negative."),
        (
            {"length_then": "9" * 39},
            "length_then",
            f"“{'9' * 39}” is longer than any length can be.",
        ),
        (
            {"length_then": "long"},
            "length_then",
            "“long” is not a length. Write 35 mm, 1.2 m or 2 1/2 in.",
        ),
        ({"length_then": "600 m"}, "length_then", "More than 500 m cannot be right."),
        ({"length_then": ""}, "length_then", "This field is required."),
        ({"load_then": "0"}, "load_then", "Ensure this value is greater than or equal to 1."),
        ({"load_then": "1e400"}, "load_then", "Enter a number."),
        ({"load_then": "nan"}, "load_then", "Enter a number."),
        (
            {"per_metre_now": "-1"},
            "per_metre_now",
            "Ensure this value is greater than or equal to 0.",
        ),
        (
            {"per_metre_now": "1e300"},
            "per_metre_now",
            "Ensure this value is less than or equal to 5000.",
        ),
    ],
)
def test_cables_that_cannot_be(
    strung: World, typed: dict[str, str], field: str, error: str
) -> None:
    response = ask(strung, **CABLE | typed)
    assert response.context["form"].errors == {field: [error]}
    assert response.context["form"][field].value() == typed[field]
    assert response.context["answer"] is None


@pytest.mark.parametrize(
    ("asked", "field", "error"),
    [
        (
            {"about": "distance", "distance": "0.5 mile", "celsius": "20"},
            "distance",
            "“0.5 mile”: unknown unit “mile”. Use mm, cm, m, in or ft.",
        ),
        (
            {"about": "distance", "distance": "1 m", "celsius": "51"},
            "celsius",
            "The formulas cover −20 to 50 °C.",
        ),
        (
            {"about": "distance", "distance": "101 m", "celsius": "20"},
            "distance",
            "More than 100 m cannot be right.",
        ),
        (
            {"about": "tuning", "tuning": "H1 A1 D2 G2"},
            "tuning",
            "Note must use English names (B for H, Bb for the German B), got 'H1'.",
        ),
        (
            {"about": "tuning", "tuning": "D1"},
            "tuning",
            "The unit’s tuning names 4 strings, this one 1.",
        ),
        (
            {"about": "tuning", "tuning": "E1 A1 D2 G9"},
            "tuning",
            "No string moves by more than 48 semitones.",
        ),
        (
            {"about": "tuning", "tuning": "E1 A1 D2 G2", "masses": "1 2 -3 4"},
            "masses",
            "Write one number above 0 for each string, apart by spaces.",
        ),
        (
            {"about": "tuning", "tuning": "E1 A1 D2 G2", "masses": "1 2 inf 4"},
            "masses",
            "Write one number above 0 for each string, apart by spaces.",
        ),
        (
            {"about": "tuning", "tuning": "E1 A1 D2 G2", "masses": "1 2"},
            "masses",
            "4 strings, but 2 masses.",
        ),
        (
            {"about": "tuning", "tuning": "E" * 81},
            "tuning",
            "Ensure this value has at most 80 characters (it has 81).",
        ),
    ],
)
def test_questions_that_cannot_be(
    strung: World, asked: dict[str, str], field: str, error: str
) -> None:
    response = ask(strung, **asked, ask="1")
    assert response.context["form"].errors == {field: [error]}
    assert error.split("“")[0].split("'")[0] in response.content.decode()


def test_zero_distance_is_no_error(strung: World) -> None:
    assert "no level can be worked out" in page(strung, **move(strung, "0"))


@pytest.mark.parametrize("asked", ["nonsense", NOBODY, "<script>"])
@pytest.mark.parametrize(
    "about", ["cable", "distance", "air", "tuning", "compression", "kit", "nonsense", ""]
)
def test_what_is_not_there_is_said(strung: World, about: str, asked: str) -> None:
    told = page(strung, about=about, subject=asked, ask="1")
    assert "What this address asks about is not here any more." in told
    assert "<script>" not in told.replace("<script src", "")


def test_nothing_to_ask_about(world: World) -> None:
    assert "No guitar or bass" in page(world)
    assert "No stringed instrument" in page(world, about="tuning")
    assert "Neither the rehearsal room nor a coming show" in page(world, about="air")


def test_make_it_so(strung: World) -> None:
    response = make(strung, move(strung, "70 mm"), reason_kind="room", reason_words="Boomy.")
    assert says(response) == ["“7 Bass mic” is changed, as asked."]
    assert Input.objects.get(pk=strung.input.pk).distance_m == Decimal("0.07")
    revision = strung.rig.revisions.order_by("-number")[0]  # type: ignore[attr-defined]
    assert (revision.reason_kind, revision.reason_words) == ("room", "Boomy.")
    assert revision.author_name == strung.tech.name


def test_a_placement_needs_a_reason(strung: World) -> None:
    response = make(strung, move(strung, "70 mm"))
    assert response.context["form"].errors == {"reason_kind": [MESSAGE]}
    assert 'value="70 mm"' in response.content.decode()
    assert Input.objects.get(pk=strung.input.pk).distance_m == Decimal("0.035")


def test_cable_and_tuning_are_written_too(strung: World) -> None:
    make(strung, CABLE)
    assert Link.objects.get(rig=strung.rig).length_m == Decimal(10)
    make(strung, {"about": "tuning", "ask": "1", "tuning": "D1 A1 D2 G2"})
    assert Unit.objects.get(rig=strung.rig, gear="bass").tuning == "D1 A1 D2 G2"


def test_who_changed_it_meanwhile_is_told(strung: World) -> None:
    asked = move(strung, "70 mm")
    old = ask(strung, **asked).context["proposal_form"]["base"].value()
    strung.record(Set(str(strung.input.pk), "input", {"distance_m": "0.05"}), reason=MOVED)
    response = make(strung, asked, base=str(old), reason_kind="room", reason_words="Boomy.")
    assert response.status_code == 409
    told = response.content.decode()
    assert "70 mm" in told
    assert "50 mm" in told
    again = shown(told) | {"choice-distance_m": "typed"}
    url = f"{at(strung, 'rigs:what_if_change', strung.rig.pk)}?kind=input&part={strung.input.pk}"
    as_user(strung.tech).post(url, again)
    assert Input.objects.get(pk=strung.input.pk).distance_m == Decimal("0.07")


def test_a_base_from_nowhere(strung: World) -> None:
    response = make(strung, move(strung, "70 mm"), base="999", reason_kind="room")
    assert response.context["form"].errors["base"] == [STALE]


@pytest.mark.parametrize(
    "query", ["", "?kind=rig", "?kind=photo", "?kind=input", "?kind=input&part=7", "?kind=device"]
)
def test_a_change_of_nothing_in_particular(strung: World, query: str) -> None:
    url = at(strung, "rigs:what_if_change", strung.rig.pk)
    assert as_user(strung.tech).post(url + query).status_code == 400


def test_a_part_of_another_rig(strung: World) -> None:
    other = make_world("Other")
    url = f"{at(strung, 'rigs:what_if_change', strung.rig.pk)}?kind=input&part={other.input.pk}"
    assert as_user(strung.tech).post(url).status_code == 404


def test_who_may(strung: World) -> None:
    shown_to = {role: page(strung, role, **move(strung, "70 mm")) for role in Role.values}
    assert [role for role, told in shown_to.items() if "Make this change" in told] == [
        "engineer",
        "tech",
    ]
    assert "Write a listening note" in shown_to["player"]
    assert "Write a listening note" not in shown_to["crew"]
    url = at(strung, "rigs:what_if_change", strung.rig.pk)
    for role in ("player", "crew", "manager"):
        assert as_user(strung.people[role]).post(url).status_code == 403


def test_outsiders(strung: World) -> None:
    client = as_user(strung.outsider)
    assert client.get(at(strung, "rigs:what_if", strung.rig.pk)).status_code == 404
    assert client.post(at(strung, "rigs:what_if_change", strung.rig.pk)).status_code == 404
    other = make_world("Other")
    url = at(strung, "rigs:what_if", other.rig.pk)
    assert as_user(strung.engineer).get(url).status_code == 404


@pytest.mark.parametrize("size", [1, 10])
def test_queries_do_not_grow(strung: World, size: int, django_assert_num_queries: Any) -> None:
    device = str(Device.objects.get(name="Eskvane 4").pk)
    for number in range(size):
        strung.record(Add(str(uuid4()), "input", {"name": f"Mic {number}", "device": device}))
    client = as_user(strung.engineer)
    url = at(strung, "rigs:what_if", strung.rig.pk)
    # Session, user, memberships; the rig; ten for its parts, three for sources and groups, who
    # else picks it up, devices, next show, what was measured from clips; the part asked about.
    with django_assert_num_queries(10):
        client.get(url, move(strung, "70 mm"))

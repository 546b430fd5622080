"""Asking about a compressor and its blend, on a rig's page."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from rigs.changes.edits import Add
from rigs.models import Control, Unit
from tests.support.pages import as_user, at, says
from tests.support.world import World

ASKED = {
    "about": "compression",
    "ask": "1",
    "threshold": "-20",
    "ratio": "4",
    "knee": "",
    "makeup": "",
    "dry": "0",
    "wet": "0",
}


@pytest.fixture
def squeezed(world: World) -> World:
    """The small rig with a pedal whose threshold, ratio and output say figures; its blend not."""
    unit = str(uuid4())
    controls = {
        "Threshold": ("value", "dB", "-18"),
        "Ratio": ("value", ":1", "3"),
        "Output": ("value", "dB", "4.5"),
        "Blend": ("clock", "", "1:30"),
    }
    world.record(
        Add(unit, "unit", {"name": "Squeeze pedal", "gear": "compressor"}),
        *(
            Add(
                str(uuid4()),
                "control",
                {
                    "unit": unit,
                    "name": name,
                    "style": style,
                    "symbol": symbol,
                    "setting": setting,
                },
            )
            for name, (style, symbol, setting) in controls.items()
        ),
    )
    return world


def ask(world: World, **query: str) -> Any:
    url = at(world, "rigs:what_if", world.rig.pk)
    response = as_user(world.engineer).get(url, {"about": "compression", **query})
    assert response.status_code == 200
    return response


def test_starts_with_the_figures_of_the_controls(squeezed: World) -> None:
    initial = ask(squeezed).context["form"].initial
    assert (initial["threshold"], initial["ratio"], initial["makeup"]) == ("-18", "3", "4.5")
    assert initial["dry"] == "0"
    assert "wet" not in initial


def test_a_knob_that_says_no_level_is_said(squeezed: World) -> None:
    told = ask(squeezed).content.decode()
    assert "Blend stands at 1:30, which is no level in dB. Type what you take it for." in told
    assert "Threshold stands at" not in told


def test_a_ratio_off_a_numbered_dial_is_not_read(squeezed: World) -> None:
    unit = str(Unit.objects.get(name="Squeeze pedal").pk)
    other = {"unit": unit, "name": "ratio", "style": "dial", "setting": "4", "high": "10"}
    squeezed.record(Add(str(uuid4()), "control", other))
    assert "ratio stands at 4, which is no ratio." in ask(squeezed).content.decode()


def test_answer_in_words_table_and_plot(squeezed: World) -> None:
    told = ask(squeezed, **ASKED).content.decode()
    # T −20, R 4: −15 dB at 0 dB in (closed form); 20 log10(1 + 10^(−15/20)) = 1.42 dB.
    assert "the compressed path moves by 25.0 dB and the blend by 35.4 dB." in told
    assert "<td>−15.0</td><td>0.0</td><td>1.4</td><td>+1.4</td>" in told
    assert "Compressed path, dry path and their blend" in told
    assert "turn down first, then compare at equal loudness" in told
    assert "style=" not in told
    assert "Propose this change" not in told


def test_one_control_turned_is_proposed_and_written(squeezed: World) -> None:
    asked = ASKED | {"threshold": "-18", "ratio": "4.5", "makeup": "4.5"}
    response = ask(squeezed, **asked)
    proposal, form = (response.context[name] for name in ("proposal", "proposal_form"))
    url = at(squeezed, "rigs:what_if_change", squeezed.rig.pk)
    done = as_user(squeezed.tech).post(
        f"{url}?kind={proposal.kind}&part={proposal.part}",
        {"base": form["base"].value(), "setting": proposal.value},
        follow=True,
    )
    assert says(done) == ["“Ratio” is changed, as asked."]
    assert Control.objects.get(name="Ratio").setting == "4.5"
    assert Control.objects.get(name="Threshold").setting == "-18"


@pytest.mark.parametrize(
    "typed",
    [{"threshold": "-18", "ratio": "3", "makeup": "4.5"}, {"threshold": "-18", "ratio": "4"}],
)
def test_nothing_or_more_than_one_turned_proposes_nothing(
    squeezed: World, typed: dict[str, str]
) -> None:
    typed = {"makeup": "1"} | typed
    assert ask(squeezed, **ASKED | typed).context["proposal"] is None


@pytest.mark.parametrize(
    ("typed", "field", "error"),
    [
        ({"ratio": "0.5"}, "ratio", "Ensure this value is greater than or equal to 1."),
        ({"ratio": ""}, "ratio", "This field is required."),
        ({"threshold": "nan"}, "threshold", "Enter a number."),
        ({"wet": "21"}, "wet", "Ensure this value is less than or equal to 20."),
        ({"knee": "-1"}, "knee", "Ensure this value is greater than or equal to 0."),
    ],
)
def test_compressors_that_cannot_be(
    squeezed: World, typed: dict[str, str], field: str, error: str
) -> None:
    form = ask(squeezed, **ASKED | typed).context["form"]
    assert form.errors == {field: [error]}
    assert form[field].value() == typed[field]


def test_a_rig_without_a_compressor(world: World) -> None:
    assert "No compressor, and nothing else with a threshold" in ask(world).content.decode()

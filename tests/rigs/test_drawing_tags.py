"""The partials that draw: a picture with the same in words beside it, and nothing inline."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from django.template import Context, Template
from django.test import Client
from django.urls import reverse

from rigs.revisions.read import as_of, live
from rigs.wording import snapshot_view
from tests.support.views import MIC, chain, control, mic_on, rig, unit
from tests.support.world import World


def render(tag: str, **context: Any) -> str:
    return Template(f"{{% load drawing %}}{{% {tag} %}}").render(Context(context))


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_dials_are_a_list_with_name_and_setting() -> None:
    controls = (
        control("Gain", setting="2:30", angle=75.0, changed=True, was="1:00", was_text="1:00"),
        control("Bass"),
    )
    html = render("dials unit", unit=unit("Head", controls=controls))
    assert words(html) == "Gain 2:30 was 1:00 ? Bass not set"
    assert html.count("<li ") == html.count('aria-hidden="true"') == 2
    assert 'aria-label="Controls of Head"' in html


def test_only_the_changed_dials_may_be_asked_for() -> None:
    controls = (control("Gain", setting="2:30", angle=75.0, changed=True), control("Bass"))
    html = render("dials unit only_changed=True", unit=unit("Head", controls=controls))
    assert "Gain" in html
    assert "Bass" not in html


def test_a_unit_without_controls_draws_nothing() -> None:
    assert render("dials unit", unit=unit("Head")).strip() == ""


def test_the_path_is_said_in_words_with_what_is_odd() -> None:
    html = render("signal_path view", view=chain("Guitar", "Head"))
    assert "<li>Guitar → Head.</li>" in html
    assert "The path ends at Head: nothing goes on, no input takes it up." in html
    assert html.count("<svg") == 1 + html.count("icon-triangle-alert")


def test_an_empty_rig_says_that_there_is_no_path() -> None:
    assert "No unit yet" in render("signal_path view", view=rig([]))


def test_the_sketch_says_what_was_measured_and_whether_it_is_to_scale() -> None:
    entry = mic_on("Cabinet", "Mic", distance_m=Decimal("0.12"), distance_unit="cm")
    html = render("placement_sketch input", input=entry)
    assert "<dt>Distance</dt><dd>12 cm (4.7 in)</dd>" in html
    assert "<dt>Height</dt><dd>not measured</dd>" in html
    assert "To scale, but for the microphone itself." in html
    assert html.count("<svg") == 2
    assert "Not to scale" in render("placement_sketch input", input=mic_on("Cabinet", "Mic"))


def test_the_drawing_of_an_input_names_its_microphone() -> None:
    html = render(
        "signal_path view", view=rig([unit("Cabinet")], inputs=[mic_on("Cabinet", "Mic", 7)])
    )
    assert f"Cabinet is taken up by input 7 Mic with {MIC.name}." in html


def test_what_is_typed_is_escaped_everywhere(world: World) -> None:
    nasty = '"><script>alert(1)</script>'
    view = rig(
        [unit(nasty, controls=(control(nasty, "text", nasty),))], inputs=[mic_on(nasty, nasty)]
    )
    for html in (
        render("signal_path view", view=view),
        render("dials unit", unit=view.units[0]),
        render("placement_sketch input", input=view.inputs[0]),
    ):
        assert "<script" not in html


def test_pages_with_drawings_have_no_inline_style_or_script(client: Client, world: World) -> None:
    world.turn("3:00")
    client.force_login(world.tech)
    url = reverse("rigs:revision", args=[world.production.pk, world.rig.pk, 2])
    text = client.get(url).content.decode()
    assert "dial-ghost" in text
    assert not re.search(r"\sstyle=|<style|<script(?![^>]*\ssrc=)", text)


def test_a_view_of_now_and_then_marks_what_changed(world: World) -> None:
    world.turn("3:00")
    view = snapshot_view(world.rig, live(world.rig), before=as_of(world.rig, 1))
    assert "was 2:30" in words(render("dials unit", unit=view.units[0]))

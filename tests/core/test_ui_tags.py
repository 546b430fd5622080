"""Tags and partials of the interface."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django import forms
from django.template import Context, Template
from lucide import IconDoesNotExist

import core
from core.access.context import NAVIGATION
from core.badges import LOOKS
from core.templatetags.ui import icon
from notes.models import AlternativeVerdict, Note, SignOff
from tests.support.as_shown import as_shown

ROOT = Path(core.__file__).parents[1]


class Sheet(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput, initial=3)
    label = forms.CharField(help_text="As it is called on stage.")
    gain = forms.DecimalField(required=False)
    contact = forms.EmailField(required=False)
    verdict = forms.ChoiceField(choices=[("keep", "keep")], widget=forms.RadioSelect)
    phantom = forms.BooleanField(required=False)


class Lists(forms.Form):
    needed = forms.ChoiceField(choices=[("", "---------"), ("mic", "microphone")])
    spare = forms.ChoiceField(choices=[("", "---------"), ("mic", "microphone")], required=False)
    song = forms.ModelChoiceField(Note.objects.none(), required=False)
    own = forms.ModelChoiceField(Note.objects.none(), empty_label="not decided yet")


def render(text: str, **context: object) -> str:
    return as_shown(Template("{% load ui %}" + text).render(Context(context)))


def test_an_icon_is_decoration() -> None:
    svg = icon("mic")
    assert svg.startswith('<svg aria-hidden="true" class="icon icon-mic" width="20" height="20"')
    assert "style=" not in svg


def test_a_labelled_icon_is_a_picture_and_its_label_is_escaped() -> None:
    svg = icon("mic", label='a "<b>mic</b>"')
    assert (
        'aria-label="a &quot;&lt;b&gt;mic&lt;/b&gt;&quot;" class="icon icon-mic" role="img"' in svg
    )
    assert "aria-hidden" not in svg
    assert "<b>" not in svg


def test_an_unknown_icon_is_refused() -> None:
    with pytest.raises(IconDoesNotExist, match="no-such-icon"):
        icon("no-such-icon")


def test_every_icon_that_is_asked_for_exists() -> None:
    files = [file for app in ("core", "rigs", "notes") for file in (ROOT / app).rglob("*.html")]
    written = re.compile(r'icon(?:_name=| )"([a-z0-9-]+)"')
    names = {name for file in files for name in written.findall(file.read_text())}
    names |= {entry[2] for entry in NAVIGATION} | {look.icon for look in LOOKS.values()}
    assert {"mic", "ear"} <= names
    for name in names:
        assert icon(name)


def test_every_stored_state_has_a_look() -> None:
    kinds = (SignOff.Decision, Note.Verdict, Note.Outcome, AlternativeVerdict)
    stored = {value for kind in kinds for value in kind.values if value}
    assert stored <= LOOKS.keys()


@pytest.mark.parametrize("state", LOOKS)
def test_every_state_shows_an_icon_and_a_word(state: str) -> None:
    badge = render('{% include "core/_badge.html" %}', state=state)
    assert "<svg" in badge
    assert str(LOOKS[state].word) in badge
    assert f"badge-{LOOKS[state].tone}" in badge


def test_a_badge_escapes_its_label() -> None:
    badge = render('{% include "core/_badge.html" %}', state="open", label="<i>2</i>")
    assert "&lt;i&gt;2&lt;/i&gt;" in badge


def test_an_unknown_state_is_refused() -> None:
    with pytest.raises(KeyError, match="sleeping"):
        render('{% include "core/_badge.html" %}', state="sleeping")


def test_a_field_ties_help_and_errors_to_its_control() -> None:
    field = render("{% field form.label %}", form=Sheet({"label": ""}))
    assert 'aria-describedby="id_label_helptext id_label_error"' in field
    assert 'aria-invalid="true"' in field
    assert 'id="id_label_helptext">As it is called on stage.<' in field
    assert 'id="id_label_error"' in field
    assert "This field is required." in field


def test_a_field_passes_attributes_on() -> None:
    field = render('{% field form.label data_kind="stage" rows=3 %}', form=Sheet())
    assert 'data-kind="stage"' in field
    assert 'rows="3"' in field


def test_what_was_typed_is_escaped() -> None:
    field = render("{% field form.label %}", form=Sheet({"label": '"><script>'}))
    assert 'value="&quot;&gt;&lt;script&gt;"' in field


def test_numbers_get_a_keypad_and_addresses_their_completion() -> None:
    assert 'inputmode="decimal"' in render("{% field form.gain %}", form=Sheet())
    assert 'autocomplete="email"' in render("{% field form.contact %}", form=Sheet())


def test_a_group_of_choices_has_a_legend_that_carries_its_errors() -> None:
    field = render("{% field form.verdict %}", form=Sheet({}))
    assert '<fieldset class="field choices has-error" aria-describedby="id_verdict_error">' in field
    assert '<legend class="field-label">Verdict' in field


def test_the_summary_links_to_controls_even_in_groups() -> None:
    page = render('{% include "core/_form.html" %}', form=Sheet({"label": "", "version": "3"}))
    assert '<a href="#id_label">Label: This field is required.</a>' in page
    assert '<a href="#id_verdict_0">Verdict: This field is required.</a>' in page
    assert 'id="id_verdict_0"' in page


def test_a_form_keeps_hidden_fields_and_knows_when_it_holds_typed_text() -> None:
    fresh = render('{% include "core/_form.html" %}', form=Sheet())
    assert '<input type="hidden" name="version" value="3" id="id_version">' in fresh
    assert "data-guard>" in fresh
    assert "error-summary" not in fresh
    again = render('{% include "core/_form.html" %}', form=Sheet({"label": "x"}))
    assert 'data-guard="typed"' in again


def test_a_value_pair_says_in_words_what_was_and_what_is() -> None:
    pair = render('{% include "core/_value_pair.html" %}', old="35 mm", new="")
    assert '<span class="visually-hidden">was</span> <del>35 mm</del>' in pair
    assert '<ins><span class="value-none">nothing</span></ins>' in pair


def test_a_pager_without_neighbours_is_not_there() -> None:
    assert render('{% include "core/_pager.html" %}').strip() == ""
    assert 'href="?before=7"' in render('{% include "core/_pager.html" %}', older_url="?before=7")


def test_navigation_marks_the_part_the_page_belongs_to() -> None:
    items = [{"key": "songs"}, {"key": "tour"}]
    assert render('{% current "songs" %}', active_nav="songs") == 'aria-current="true"'
    assert render('{% current "tour" %}', active_nav="songs") == ""
    assert render("{% current_among items %}", items=items, active_nav="tour") == "data-current"
    assert render("{% current_among items %}", items=items, active_nav="rigs") == ""


@pytest.mark.parametrize(
    ("name", "words"),
    [("needed", "choose …"), ("spare", "none"), ("song", "none"), ("own", "not decided yet")],
)
@pytest.mark.django_db
def test_the_empty_choice_of_a_list_is_in_words(name: str, words: str) -> None:
    shown = render("{% control field %}", field=Lists()[name])
    first = re.findall(r"<option value=\"\"(?: selected)?>([^<]*)</option>", shown)
    assert first == [words]
    assert ("microphone" in shown) is (name in ("needed", "spare"))


@pytest.mark.parametrize(
    ("words", "shown"), [("Name", "Name:"), ("And now?", "And now?"), ("Because …", "Because …")]
)
def test_words_lead_on_to_what_follows(words: str, shown: str) -> None:
    assert render("{{ words|lead }}", words=words) == shown

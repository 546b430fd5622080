"""The formatter of templates changes no page, and every template is as it would write it.

What white space shows is CSS Text Module Level 3, 4.1: runs of it are one space, and at the
start and the end of a line of a block it is taken away. The pages here are compared by a reader
of HTML of another library (lxml), which knows nothing of how the formatter parts a template.
"""

from __future__ import annotations

import re

import pytest
from django.template import Context, Template
from lxml import html

from tests.support.as_shown import as_shown
from tests.support.templates import WIDTH, formatted, long_lines, templates

LONG = "a sentence that goes on for so long that the line it stands in has to be broken somewhere"
INLINE = (
    '<p class="meta">{% if one %}<a class="button" href="/somewhere/else/">'
    f"{LONG}</a>{{% else %}}{LONG}{{% endif %}}, {{{{ name }}}}."
    '{% if two %} <span class="figure">{{ name }}</span>{% endif %}</p>'
)
LIST = (
    "<ul>{% for each in rows %}<li><strong>{{ each }}</strong>"
    '{% if one %}<p class="meta">said of it</p>{% endif %}{% if two %}; {{ name }}{% endif %}</li>'
    '{% empty %}<li class="soft">nothing at all to be said here</li>{% endfor %}</ul>'
)
CELLS = (
    '<table><tr><td data-label="In a stack">{% if one %}'
    '<span class="badge">something long is in this cell</span>{% endif %}</td>'
    "<td>{% if two %}two{% else %}not two, for a change{% endif %}</td></tr></table>"
)
EVERY_WAY = [
    {"one": one, "two": two, "name": "Ann", "rows": rows}
    for one in (True, False)
    for two in (True, False)
    for rows in ((), ("x",), ("x", "y"))
]


def shown(page: str) -> list[str]:
    """What can be seen: the text of each block, white space folded, and whether cells are empty."""
    blocks = {"p", "ul", "li", "table", "tr", "td", "div"}
    lines = [""]

    def read(element: html.HtmlElement) -> None:
        is_block = element.tag in blocks
        if is_block:
            lines.append("empty" if element.text is None and not len(element) else "")
        lines[-1] += element.text or ""
        for child in element:
            read(child)
            lines[-1] += child.tail or ""
        if is_block:
            lines.append("")

    read(html.fragment_fromstring(page, create_parent="div"))
    return [line for each in lines if (line := re.sub(r"\s+", " ", each).strip())]


@pytest.mark.parametrize("source", [INLINE, LIST, CELLS])
@pytest.mark.parametrize("given", EVERY_WAY)
def test_a_page_shows_the_same_before_and_after(source: str, given: dict[str, object]) -> None:
    after = formatted(source)
    assert after.count("\n") > 1
    before, now = (Template(each).render(Context(given)) for each in (source, after))
    assert shown(now) == shown(before)


@pytest.mark.parametrize("source", [INLINE, LIST, CELLS])
def test_formatting_twice_is_formatting_once(source: str) -> None:
    once = formatted(source)
    assert formatted(once) == once
    assert not long_lines(once)


def test_no_white_space_comes_between_a_word_and_its_full_stop() -> None:
    source = f"<p>{'x' * 70} <strong>{'y' * 40}</strong>{{% if one %}}{'z' * 30}{{% endif %}}.</p>"
    after = formatted(source)
    assert len(after.splitlines()) > 1
    text = "".join(Template(after).render(Context({"one": True})).split())
    assert "y</strong>z" in text
    assert re.search(r"z\{% endif %\}\.\s*</p>", after)


def test_line_breaks_stay_out_where_they_would_show() -> None:
    said = f"<blockquote>“{LONG}” and {{{{ name }}}}, {LONG}</blockquote>"
    kept = f'<p class="since-why">{LONG}, {{{{ name }}}}: {LONG}</p>'
    for source in (said, kept, f"<pre>{LONG}  {LONG}</pre>"):
        (inside,) = re.findall(r">(.*)</", formatted(source), re.DOTALL)
        assert inside in source


def test_a_sentence_over_several_lines_becomes_one_line_and_stays_escaped() -> None:
    source = (
        "{% load ui %}{% sentence as told %}\n  Said by\n  {{ name }}.\n{% endsentence %}"
        "[{{ told }}]"
    )
    assert Template(source).render(Context({"name": "A & B"})) == "[Said by A &amp; B.]"


@pytest.mark.parametrize(
    ("written", "seen"),
    [
        ("<p>\n    Held by\n    Ann</p>", "<p>Held by Ann</p>"),
        ('<a class="x"\n    href="/">a</a>\n  <b>b</b>', '<a class="x" href="/">a</a> <b>b</b>'),
        ('<a href="/"\n  >a</a>', '<a href="/">a</a>'),
        ("<li>\n    <b>a</b>\n  </li>", "<li>\n    <b>a</b>\n  </li>"),
        ("<p>one\ntwo</p>", "<p>one\ntwo</p>"),
        ("<pre>a\n    b</pre>", "<pre>a\n    b</pre>"),
    ],
)
def test_tests_read_pages_as_a_browser_shows_them(written: str, seen: str) -> None:
    assert as_shown(written) == seen


def test_the_lines_of_every_template_are_short_and_formatted() -> None:
    wrong = []
    for path in templates():
        source = path.read_text()
        wrong += [f"{path.name}:{number}" for number in long_lines(source)]
        if formatted(source) != source:
            wrong.append(f"{path.name}: run python -m tests.support.templates --write")
    assert len(templates()) > 300
    assert WIDTH == 120
    assert not wrong, "\n".join(wrong)

"""Signs between things are set by the language: French has a space before a colon, Japanese a comma
of its own. Found by reading the files."""

from __future__ import annotations

from pathlib import Path

from tests.support.catalogues import APPS, ROOT
from tests.support.unmarked import glued_in_python, glued_in_template

# Folders whose words are for programs, for the index of the search or for whoever runs the service.
FOR_PROGRAMS = {"migrations", "demo", "archive", "management", "proof", "search", "operation"}
# What is stored (in English, or as somebody typed it), read back, or spelt for programs, and how
# often in a file. Whoever adds to it says of which kind it is.
SPELT: dict[str, int] = {
    "core/env.py": 2,  # told where the service starts
    "core/languages/marked.py": 1,  # English, before it is told
    "core/languages/views.py": 1,  # codes
    "core/models/guests.py": 1,  # the admin
    "core/personal/store.py": 2,  # SQL
    "core/services/changed.py": 2,  # stored
    "core/templatetags/kept.py": 1,  # told to whoever changes a template
    "core/text.py": 1,  # code points
    "core/views/offline.py": 1,  # a script
    "rigs/backline/begin.py": 2,  # becomes text of whoever takes it over
    "rigs/backline/lines.py": 1,  # a column of a file
    "rigs/cables/words.py": 1,  # read back
    "rigs/changeover/proposals.py": 2,  # becomes text of whoever takes it over
    "rigs/changeover/state.py": 1,  # finds what is stored
    "rigs/checks/rules/feedback_circle.py": 1,  # signed in English
    "rigs/checks/rules/in_ear_limiter.py": 1,  # signed in English
    "rigs/drawing/graph.py": 1,  # measured for the width of its letters
    "rigs/fields.py": 1,  # the name of a column
    "rigs/knob_check/marks.py": 1,  # read back
    "rigs/knob_check/pairs.py": 3,  # a file of measurements
    "rigs/list_import/cells.py": 1,  # becomes text of whoever takes it over
    "rigs/list_import/placement.py": 1,  # becomes text of whoever takes it over
    "rigs/lists/input_list.py": 2,  # columns of a file
    "rigs/models/changeover.py": 1,  # the admin
    "rigs/models/patch.py": 2,  # the admin
    "rigs/models/plot.py": 1,  # read back
    "rigs/models/songs.py": 1,  # the admin
    "rigs/models/tonight.py": 1,  # the admin
    "rigs/patch/guest_questions.py": 1,  # stored
    "rigs/patch/landing.py": 1,  # read back
    "rigs/patch/offers.py": 1,  # read back
    "rigs/patch/services.py": 4,  # stored
    "rigs/plot/services.py": 6,  # stored
    "rigs/radio.py": 1,  # read back
    "rigs/revisions/rows.py": 5,  # SQL
    "rigs/signal/ranges.py": 2,  # read back
    "rigs/signal/strings.py": 1,  # read back
    "rigs/songs/api.py": 2,  # the API
    "rigs/tonight/offers.py": 1,  # read back
    "rigs/tonight/services.py": 1,  # stored
    "notes/blind/on_record.py": 2,  # stored
    "notes/blind/services.py": 1,  # told by a command
    "notes/causes/kept.py": 1,  # told by a command
    "notes/causes/retold.py": 1,  # finds what is stored
    "notes/causes/taken_up.py": 1,  # stored
    "notes/handover/cut.py": 2,  # English, told after it is cut
    "notes/handover/sheet.py": 1,  # stored
    "notes/handover/state.py": 1,  # stored
    "notes/models/causes.py": 1,  # the admin
    "notes/models/linecheck.py": 1,  # the admin
    "notes/models/monitors.py": 1,  # the admin
    "notes/monitors/refs.py": 1,  # read back
}


def files(ending: str) -> list[Path]:
    return sorted(path for app in APPS for path in (ROOT / app).rglob(f"*{ending}"))


def test_no_template_sets_a_colon_or_the_comma_of_a_list_itself() -> None:
    templates = [path for path in files(".html") if "style" not in path.parts]
    wrong = [
        f"{path.relative_to(ROOT)}:{each.line}: {each.text!r}"
        for path in templates
        for each in glued_in_template(path.read_text())
    ]
    assert len(templates) > 500
    assert wrong == []


def test_lists_and_colons_of_python_go_through_the_languages() -> None:
    counted: dict[str, int] = {}
    wrong: list[str] = []
    for path in files(".py"):
        if FOR_PROGRAMS & {*path.parts} or path.name in ("verify.py", "search.py"):
            continue
        name, found = str(path.relative_to(ROOT)), glued_in_python(path.read_text())
        if found:
            counted[name] = len(found)
        if len(found) != SPELT.get(name, 0):
            wrong += [f"{name}:{each.line}: {each.text}" for each in found]
    assert counted == SPELT, "\n".join(wrong)


def test_the_finder_finds() -> None:
    template = (
        '<p title="{{ a }}: {{ b }}">{{ a }}: {{ b }} <b>{{ a }}</b>: x {{ a|join:", " }}</p>\n'
        "{% for a in b %}{{ a }}{% if not forloop.last %}; {% endif %}{% endfor %}\n"
        '<a href="x?y={{ a }}">12:30</a>{% translate "a: b" %}'
    )
    assert [each.line for each in glued_in_template(template)] == [1, 1, 1, 1, 1, 2]
    python = 'x = ", ".join(y)\nx = f"{a}: {b}"\nx = f"{a}:{b}" + ",".join(y)\nx = "a: b"'
    assert [each.line for each in glued_in_python(python)] == [1, 2]

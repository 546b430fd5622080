"""Each how-to of DEVELOPERS.md is done as it says, in a copy of the source, and names its files.

The field of a part is done in tests/rigs/test_new_length.py. What the changed copy can do then is
looked for by the other modules of this folder, which run there.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.source_copy import SourceCopy, assert_takes

pytestmark = pytest.mark.own_sqlite

GEAR = """    Gear(
        key="glow_harp",
        label="glow harp amplifier",
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=(Usual("Glow"),),
        cautions=(VALVE_CAUTION, MAINS_CAUTION),
        figures=("output_power", "mains_power"),
        needs_sound=True,
        drives_loudspeakers=True,
        valves=Has.YES,
    ),
"""

RULE = '''"""A control that is turned up all the way: there is nothing left to turn."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "at_its_end"
WHY = "A player who wants more of it has nothing left to turn."


def check(bench: Bench) -> Iterator[Finding]:
    for unit in bench.units.values():
        for name, setting in unit.settings.items():
            if setting == "5:00":
                yield Finding(
                    KEY,
                    (unit.id,),
                    Severity.LOOK,
                    f"{unit.name}: {name} is at its end",
                    WHY,
                    "Turn it down and make up for it elsewhere.",
                    Certainty.THUMB,
                    (Figure("setting", setting),),
                )


RULE = Rule(KEY, "Is a control turned up all the way?", check)
'''
RULE_TEST = '''"""That a dial ends at five o\'clock is common practice, no source."""

from __future__ import annotations

from dataclasses import replace

from rigs.checks.rules.at_its_end import check
from tests.rigs.checks.laying import found, only, unit

AMP = unit("Amp", "head")


def test_a_control_at_its_end_is_found() -> None:
    assert only(check, replace(AMP, settings={"Gain": "5:00"})).title == "Amp: Gain is at its end"


def test_one_short_of_it_is_not() -> None:
    assert found(check, replace(AMP, settings={"Gain": "4:59"})) == []
'''
RULE_PAGE = """## `at_its_end`

| | |
|---|---|
| Finds | a control at five o'clock |
| Needs | settings |
| Source | common practice, no source |

"""

VIEW = '''

@require_safe
@production_view(Action.READ)
def batteries(request: ProductionRequest) -> HttpResponse:
    """The batteries of all rigs, by rig."""
    spares = live_spares([request.production.pk])
    found = [spare for spare in spares if spare.sort == Spare.Sort.BATTERY]
    return render(request, "rigs/upkeep/batteries.html", {"found": found, "active_nav": "upkeep"})
'''
ROUTE = '    path("p/<uuid:production>/upkeep/batteries/", views.batteries, name="batteries"),\n'
TEMPLATE = """{% extends "core/base.html" %}
{% block title %}Batteries{% endblock title %}
{% block heading %}Batteries{% endblock heading %}
{% block content %}
  {% for spare in found %}
    <p>{{ spare.unit }}: {{ spare.what }}</p>
  {% empty %}
    <p class="soft">No unit has a battery on record.</p>
  {% endfor %}
{% endblock content %}
"""
PAGE_TEST = '''"""The batteries of all rigs on one page."""

from __future__ import annotations

from uuid import uuid4

from django.urls import reverse

from rigs.changes.edits import Add
from tests.support.pages import as_user
from tests.support.world import World


def test_it_names_what_there_is(world: World) -> None:
    address = reverse("rigs:batteries", args=[world.production.pk])
    crew = as_user(world.people["crew"])
    assert "No unit has a battery on record." in crew.get(address).content.decode()
    fields = {"unit": str(world.unit.pk), "what": "9 V block", "sort": "battery"}
    world.record(Add(str(uuid4()), "spare", fields))
    assert f"{world.unit}: 9 V block" in crew.get(address).content.decode()
'''


def test_a_kind_of_gear_is_one_entry_in_one_file(tmp_path: Path) -> None:
    copy = SourceCopy(tmp_path)
    copy.put_before("rigs/gear/kinds.py", r'    Gear\(\n        key="head",', GEAR)
    assert_takes("Add a kind of gear", copy.changed())
    copy.run("manage.py", "makemigrations", "--check", "--dry-run")
    copy.test("tests/howto/kind_of_gear.py", "tests/rigs/gear/test_kinds.py")


def test_a_check_is_a_file_two_lines_its_page_and_its_test(tmp_path: Path) -> None:
    copy = SourceCopy(tmp_path)
    registry = "rigs/checks/registry.py"
    copy.write("rigs/checks/rules/at_its_end.py", RULE)
    copy.put_before(registry, r"    cabinet_power,\n", "    at_its_end,\n")
    copy.put_before(registry, r"    dangling_end\.RULE,\n", "    at_its_end.RULE,\n")
    copy.put_before("docs/findings.md", "## `mains_circuit`", RULE_PAGE)
    test = "tests/rigs/checks/test_rule_at_its_end.py"
    copy.write(test, RULE_TEST)
    assert_takes("Add a check", copy.changed())
    copy.test("tests/howto/check_of_a_rig.py", "tests/rigs/checks/test_registry.py", test)


def test_a_page_is_a_view_its_address_a_template_and_its_test(tmp_path: Path) -> None:
    copy = SourceCopy(tmp_path)
    copy.append("rigs/upkeep/views.py", VIEW)
    copy.put_before("rigs/upkeep/urls.py", r'    path\(f"\{_SPARE\}/", views\.page', ROUTE)
    copy.write("rigs/templates/rigs/upkeep/batteries.html", TEMPLATE)
    test = "tests/rigs/upkeep/test_batteries_page.py"
    copy.write(test, PAGE_TEST)
    assert_takes("Add a page", copy.changed())
    # The walk of all addresses finds it by itself.
    walk = "tests/core/test_every_url.py"
    answers = f"{walk}::test_every_address_answers_each_role_by_the_policy"
    copy.test(
        test,
        f"{walk}::test_every_view_says_who_may_call_it",
        f"{answers}[outsider-get]",
        f"{answers}[crew-get]",
    )

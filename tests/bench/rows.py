"""200 rows of microphones and DIs, drawn in several ways: which engine a long table should have.

    python -m tests.bench.rows

Milliseconds of the processor for the rows alone, without the database; the least of 40. Jinja2 is
no dependency of the service: without it that line is left out.
"""

from __future__ import annotations

import importlib
import os
import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import uuid4

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.template import Context, Template
from django.template.loader import get_template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext, ngettext

from core.models import Production
from rigs.models import Device

PLACE = Production(name="Quiet")
TABLE = (
    "{% for device in devices %}{% include 'rigs/inputs/_device_row.html' %}{% endfor %}"  # as used
)
JINJA = """{% for device in devices %}<li class="lineup-row">
  <div class="lineup-what">
    <p class="lineup-name"><a href="{{ url('rigs:device', args=[production.pk, device.pk]) }}">{{ device }}</a></p>
    <p class="meta">{% if device.form == "mic" %}{{ _("Microphone") }}, {% endif %}
      {{ device.get_principle_display() }}{% if device.pattern %}, {{ device.get_pattern_display() }}{% endif %}
      {% if device.phantom %}, {{ _("needs phantom power") }}{% endif %}</p>
  </div>
  <p class="meta">{% if device.use_count %}{{ ngettext("on {n} input", "on {n} inputs", device.use_count) }}
    {% else %}{{ _("not in use") }}{% endif %}</p>
</li>{% endfor %}"""  # noqa: E501


def devices() -> list[Device]:
    made = []
    for number in range(200):
        each = Device(
            pk=uuid4(), production=PLACE, name=f"Hollow {number}", form="mic", pattern="cardioid"
        )
        each.principle, each.use_count = "dynamic", number % 3  # type: ignore[attr-defined]
        made.append(each)
    return made


def least_ms(draw: Callable[[], object]) -> float:
    draw()
    took = []
    for _ in range(40):
        began = time.process_time()
        draw()
        took.append((time.process_time() - began) * 1000)
    return min(took)


def by_python(each: Device) -> str:
    count = each.use_count  # type: ignore[attr-defined]
    return format_html(
        '<li class="lineup-row"><a href="{}">{}</a> {}, {}, {} {}</li>',
        reverse("rigs:device", args=[PLACE.pk, each.pk]),
        each,
        gettext("Microphone"),
        each.get_principle_display(),
        each.get_pattern_display(),
        ngettext("on {n} input", "on {n} inputs", count) if count else gettext("not in use"),
    )


def main() -> None:
    rows = devices()
    context = {"production": PLACE, "devices": rows}
    kept: Any = get_template("rigs/inputs/_device_row.html")
    source = Path(str(kept.origin)).read_text()
    plain = re.sub(r"{% (end)?kept[^%]*%}", "", source)
    ways = {
        "as it is: included, kept": Template(TABLE),
        "included, not kept": Template(TABLE.replace("'rigs/inputs/_device_row.html'", "row")),
        "in the loop, not kept": Template(f"{{% for device in devices %}}{plain}{{% endfor %}}"),
    }
    for name, table in ways.items():
        given = {**context, "row": Template(plain)}
        print(f"| {name} | {least_ms(lambda t=table, g=given: t.render(Context(g))):.1f} |")  # type: ignore[misc]
    try:
        jinja2 = importlib.import_module("jinja2")
    except ImportError:
        pass
    else:
        jinja = jinja2.Environment(autoescape=True).from_string(
            JINJA, {"url": reverse, "_": gettext, "ngettext": ngettext}
        )
        print(f"| Jinja2 | {least_ms(lambda: jinja.render(context)):.1f} |")
    print(f"| format_html for each row | {least_ms(lambda: ''.join(map(by_python, rows))):.1f} |")


if __name__ == "__main__":
    main()

"""What stays in sight where people carry against a clock. Pure."""

from __future__ import annotations

from typing import cast

from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy

from rigs.cautions import LIFTING

# Two to whatever is heavy and nobody runs: common practice, no source.
_TEXT = format_lazy(
    "{first} {lifting}",
    first=gettext_lazy(
        "Two people to whatever is heavy, and nobody runs, whatever the clock says."
    ),
    lifting=lazy(lambda: LIFTING.text, str)(),
)
HURRY = LIFTING._replace(
    title=cast("str", gettext_lazy("Lifting against the clock")), text=cast("str", _TEXT)
)

"""Sound that comes back along the cables to where it was."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench
from rigs.checks.circles import Way, circles
from rigs.checks.figures import Figure, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "feedback_circle"
WHY = gettext_lazy(
    "What goes round in a circle and is amplified on its way howls, at a "
    "level that harms ears and loudspeakers. If it is not so on the stage, "
    "the record of the cables is wrong."
)
MEND = gettext_lazy(
    "Put the cable right. If this is an effects loop, name its sockets: out "
    "of “send”, back into “return”."
)


def check(bench: Bench) -> Iterator[Finding]:
    links = {link.id: link for link in bench.audio_links()}
    ways = [Way(x.id, x.source, x.target, x.from_socket, x.to_socket) for x in links.values()]
    for knot in circles(ways):
        units = dict.fromkeys(links[part].source for part in knot)
        names = [bench.units[unit].name for unit in units]
        described = ", ".join(
            f"{bench.units[links[part].source].name} → {bench.units[links[part].target].name}"
            for part in knot
        )
        yield Finding(
            KEY,
            (*units, *knot),
            Severity.CAUTION,
            _("Sound goes round in a circle: {names}").format(names=listed(names)),
            str(WHY),
            str(MEND),
            Certainty.CERTAIN,
            (Figure(_("cables"), described),),
        )


RULE = Rule(KEY, gettext_lazy("Does sound come back along the cables to where it was?"), check)

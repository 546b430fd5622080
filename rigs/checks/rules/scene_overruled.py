"""A control that a song sets otherwise than the scene it begins with."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench, Overruled
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "scene_overruled"


def check(bench: Bench) -> Iterator[Finding]:
    return (_set_twice(bench, each) for each in bench.overruled)


def _set_twice(bench: Bench, each: Overruled) -> Finding:
    unit = bench.units.get(each.unit)
    control = f"{unit.name}, {each.control}" if unit else each.control
    return Finding(
        KEY,
        (each.unit, each.scene, each.song),
        Severity.LOOK,
        _(
            "“{song}”: scene “{scene}” and the song both set {control}; "
            "the song’s own setting counts"
        ).format(song=each.song_title, scene=each.scene_name, control=control),
        _("Somebody has to turn it after the press, and every later press undoes that."),
        _("A scene of its own for the song, or the song without the setting."),
        Certainty.CERTAIN,
        (
            Figure(_("control"), each.control),
            Figure(_("in the scene"), each.in_scene),
            Figure(_("in the song"), each.in_song),
        ),
    )


RULE = Rule(KEY, gettext_lazy("Does a song set by hand what its scene has set?"), check)

"""A MIDI message of a song that acts on a whole channel, or that has no channel to go to."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench
from rigs.checks.figures import Figure, listed, quoted
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.midi import CHANNEL_MODES

KEY = "midi_messages"
MODE_WHY = gettext_lazy(
    "Control numbers 120 to 127 are channel mode messages: they silence, "
    "reset or rearrange all that listens on the channel, and no setting of a "
    "sound."
)
MODE_MEND = gettext_lazy(
    "If a sound was meant, send another control; if not, accept this with words."
)
CHANNEL_WHY = gettext_lazy("Without a channel nobody can say which unit takes the message.")


def check(bench: Bench) -> Iterator[Finding]:
    for message in bench.messages:
        mode = CHANNEL_MODES.get(-1 if message.controller is None else message.controller)
        if mode:
            to = bench.units[message.unit].name
            yield Finding(
                KEY,
                (message.unit, message.id),
                Severity.LOOK,
                _("“{song}”: control {controller} to {unit} is “{mode}”").format(
                    song=message.song, controller=message.controller, unit=to, mode=mode
                ),
                str(MODE_WHY),
                str(MODE_MEND),
                Certainty.CERTAIN,
                (Figure(_("control"), str(message.controller)),),
            )
    for unit in bench.units.values():
        astray = [m for m in bench.messages if m.unit == unit.id and not m.has_channel]
        if astray:
            songs = listed([quoted(song) for song in dict.fromkeys(m.song for m in astray)])
            about = _("MIDI to {unit} in {songs}").format(unit=unit.name, songs=songs)
            yield not_measured(
                KEY, (unit.id,), about, [gettext_lazy("its MIDI channel")], CHANNEL_WHY
            )


RULE = Rule(
    KEY, gettext_lazy("Does a MIDI message of a song reach the sound it is meant for?"), check
)

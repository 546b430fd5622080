"""Monitor mixes on paper: a page for each, tonight's wishes first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Production, Show
from core.proof.checkpoints import stamp_of
from notes.models import MixSignOff, SignOff
from notes.monitors.cautions import HEARING
from notes.monitors.refs import Known
from notes.monitors.shown import ShownMix, ShownWant, shown_wants
from notes.monitors.state import MixState
from notes.monitors.wishes import State
from notes.signing.copy import said_in
from notes.signing.states import PartyStatus
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at

STANDING = {
    PartyStatus.SIGNED: gettext_lazy("signed by {name}, {at}"),
    PartyStatus.CHANGED: gettext_lazy("changed since {name} signed it, {at}"),
    PartyStatus.WITHHELD: gettext_lazy("{name} said: not yet, {at}"),
}


def mixes_pdf(
    production: Production, entries: Sequence[ShownMix], *, paper: Paper, show: Show | None = None
) -> bytes:
    """Tagged PDF (PDF/UA-1); with a `show` its wishes, done ones marked, stand above the mix."""
    data = {
        "title": _("Monitor mixes, {show}").format(show=show) if show else _("Monitor mixes"),
        "paper": paper,
        "stamp": _("printed {at}").format(at=printed_at(clock.now())),
        "place": str(production),
        "mixes": [_mix(each) for each in entries],
        "caution": _(HEARING.text),
    }
    return press("mixes.typ", data)


def _mix(entry: ShownMix) -> dict[str, Any]:
    return {
        "name": entry.mix.name,
        "whom": entry.whom,
        "kind": entry.mix.get_kind_display(),
        "output": entry.state.output,
        "eq": entry.state.eq,
        "limiter": entry.state.limiter,
        "standing": _standing(entry),
        "wants": _lines(entry.wants),
        "wishes": [
            _("{wish} (done)").format(wish=each.wish)
            if each.state == State.DONE
            else str(each.wish)
            for each in entry.wishes
            if each.state != State.TAKEN_BACK
        ],
    }


def _lines(wants: Iterable[ShownWant]) -> list[list[str]]:
    return [
        [
            str(at),
            each.level,
            f"{each.about} = {each.like}" if each.like else each.about,
            each.words,
        ]
        for at, each in enumerate(wants, start=1)
    ]


def copy_of(made: MixSignOff, *, paper: Paper) -> bytes:
    """The PDF for whoever signed a mix, or did not: what they said, and the mix as it was then."""
    mix, state = made.mix, MixState.from_plain(made.version.state)
    is_signed = made.decision == SignOff.Decision.SIGNED
    shown = {
        "name": state.name,
        "whom": str(made.player),
        "kind": mix.get_kind_display(),
        "output": state.output,
        "eq": state.eq,
        "limiter": state.limiter,
        "standing": said_in(made, _("{name}: this is my mix, {at}.")),
        "wants": _lines(shown_wants(state, Known(mix.production_id))),
        "wishes": [],
    }
    of = _("As of version {number}. Seal {seal}").format(
        number=made.version.number, seal=made.seal[:16]
    )
    data = {
        "title": (_("Signed: {mix}") if is_signed else _("Not signed yet: {mix}")).format(mix=mix),
        "paper": paper,
        "stamp": stamp_of(mix.production_id, made.at, of),
        "place": str(mix.production),
        "mixes": [shown],
        "caution": _(HEARING.text),
    }
    return press("mixes.typ", data)


def _standing(entry: ShownMix) -> str:
    last = entry.status.last
    if last is None:
        return _("not signed") if entry.mix.player else ""
    return str(STANDING[entry.status.state]).format(name=last.name, at=printed_at(last.at))

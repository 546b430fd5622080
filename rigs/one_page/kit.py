"""A drum kit on one page: heads with their pitches and what those are of, muffling, places.

Common practice, no source: a pitch by lug is heard where the head is struck beside each lug with
the other head damped; the fundamental where the drum is struck in the middle.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from django.utils.translation import gettext as _

from core import qr
from core.languages.words import apart, each_of, leading
from core.models import Show
from rigs.cautions import in_words, of_rig
from rigs.drawing.kit import Kit, Mic, kit_of
from rigs.drawing.kit_plan import described, kit_plan
from rigs.one_page.player import said_of
from rigs.one_page.type_size import rows, size_for
from rigs.paper.pdf import Paper, press
from rigs.wording import RigView, SpareView, UnitView
from rigs.wording.lengths import length_in, signed_length


def kit_page(
    view: RigView,
    name: str,
    *,
    place: str,
    stamp: str,
    address: str,
    paper: Paper,
    show: Show | None = None,
    tonight: Mapping[str, str],
) -> bytes:
    """The PDF of the kit in `view`, played by `name`; what does not fit goes over and says so.

    `tonight` is what of units and inputs is other at `show`, in lines, by the id of the part.
    """
    kit = kit_of(view)
    pictures = {"live.svg": qr.for_paper(address)}
    if kit.is_drawn:
        pictures["kit.svg"] = kit_plan(kit, name=view.name).encode()
    data = {
        "title": f"{view.name}, {name}" + (f", {show}" if show else ""),
        "paper": paper,
        "stamp": stamp,
        "place": place,
        "name": view.name,
        "player": name,
        "show": said_of(show, differs=bool(tonight)),
        "differs": _("Differs at {show}").format(show=show),
        "tonight": list(tonight.values()),
        "drawn": kit.is_drawn,
        "alt": _("The kit from above, to scale. {words}").format(words=" ".join(described(kit))),
        "units": [_unit(unit, unit.id in tonight) for unit in view.units] if view.has_drums else [],
        "mics": list(_mics(view, kit, tonight)),
        "lines": [*kit.problems, *kit.pairs],
        "lacking": _("Place not measured: {things}.").format(things=_(", ").join(kit.lacking))
        if kit.lacking
        else "",
        "spares": [f"{count} × {what}" for what, count in _carried(view).items()],
        "cautions": in_words(of_rig(view)),
    }
    looked = size_for(_lines_of(data))
    return press("kit.typ", data | {"looked": looked}, pictures=pictures)


def _lines_of(data: Mapping[str, Any]) -> float:
    """About how many lines of type the page takes, across both columns."""
    told = [*data["lines"], data["lacking"], apart(data["spares"])]
    return float(
        5
        + len(data["tonight"])
        + (6.5 if data["drawn"] else 0)
        + sum(map(_weight, data["units"])) / 2
        + 3
        + sum(1.4 + 1.1 * (max(len(row[2]), len(row[3])) // 40) for row in data["mics"])
        + 1.2 * sum(rows(text, 95) for text in told)
        + sum(rows(caution, 130) for caution in data["cautions"])
    )


def _weight(unit: Mapping[str, Any]) -> float:
    lines = len(unit["heads"]) + unit["no-head"] + rows(" · ".join(unit["lines"]), 46)
    return 1.5 + 1.2 * float(lines)


def _unit(unit: UnitView, is_other: bool) -> dict[str, Any]:
    return {
        "name": unit.name,
        "make": unit.make or unit.gear_label,
        "tonight": is_other,
        # The batter head first; what does not say its side comes before both.
        "heads": [_head(s) for s in sorted(unit.spares, key=lambda s: s.side) if s.is_head],
        "no-head": unit.traits.drum_heads and not any(spare.is_head for spare in unit.spares),
        "lines": [
            *(leading(c.name, c.text or _("not noted")) for c in unit.controls),
            *(line for line in (_place(unit), unit.notes) if line),
        ],
    }


def _head(spare: SpareView) -> list[str]:
    """Which head, what it is, and its pitch."""
    side = spare.side or _("head, side not said")
    return [side.capitalize(), _what(spare), spare.tuned or _("pitch not noted")]


def _what(spare: SpareView) -> str:
    return " ".join(text for text in (spare.maker, spare.what) if text)


def _carried(view: RigView) -> Counter[str]:
    """The spares carried, like ones counted together."""
    counted: Counter[str] = Counter()
    for unit in view.units:
        for spare in unit.spares:
            counted[_what(spare)] += spare.carried
    return +counted


def _place(part: Any) -> str:
    """“14 cm right, 43 cm in front”; empty where it was not measured."""
    right, front = length_in(part, "plan_right"), length_in(part, "plan_front")
    if right is None or front is None:
        return ""
    across = signed_length(right, _("right"), _("left"), both=False)
    along = signed_length(front, _("in front"), _("behind"), both=False)
    return _("Centre {across}, {along}").format(across=across, along=along)


def _mics(view: RigView, kit: Kit, tonight: Mapping[str, str]) -> Iterator[list[str]]:
    placed = {mic.entry.id: mic for mic in kit.mics}
    for entry in view.inputs:
        mic = placed.get(entry.id)
        yield [
            _("{label} (differs, see above)").format(label=entry.label)
            if entry.id in tonight
            else entry.label,
            entry.device.name if entry.device else _("none"),
            each_of((entry.where, entry.stand)),
            _from_snare(mic) if mic else _("not measured"),
        ]


def _from_snare(mic: Mic) -> str:
    if not mic.tape_text:
        return mic.place
    return _("{place}; {length} straight").format(place=mic.place, length=mic.short_tape)

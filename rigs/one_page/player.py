"""A player's rig on one page: each control drawn once, the path, the songs, the pinned photo."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import zip_longest
from math import ceil
from typing import Any

from django.utils.translation import gettext as _

from core import qr
from core.languages.words import apart, each_of, leading
from core.models import Show
from rigs.cautions import in_words, of_rig
from rigs.fields import FieldRole
from rigs.lists.columns import BY_KEY
from rigs.lists.input_list import DayInput, Differing
from rigs.models import Rig
from rigs.one_page.type_size import rows, size_for
from rigs.paper.parts import controls_data
from rigs.paper.pdf import Paper, press
from rigs.paper.pinned import for_paper, pinned_photos
from rigs.songs.paper import part_words
from rigs.songs.run_sheet import RunSheet, RunSong
from rigs.wording import InputView, LinkView, PinView, RigView, UnitView


@dataclass(frozen=True, slots=True)
class PlayerPage:
    """What the page of one rig is made of.

    `name` is who plays, `songs` the set for this rig alone, `tonight` what of units and inputs is
    other at the show, in lines, by the id of the part, `inputs` those that differ, by their id, and
    `address` the live page.
    """

    rig: Rig
    view: RigView
    name: str
    songs: RunSheet
    address: str
    show: Show | None = None
    tonight: Mapping[str, str] = field(default_factory=dict)
    inputs: Mapping[str, DayInput] = field(default_factory=dict)
    moved: str = ""


def player_pages(
    pages: Sequence[PlayerPage], *, title: str, place: str, stamp: str, paper: Paper
) -> bytes:
    """The PDF with a page for each; what does not fit one goes over and says so. Tagged."""
    photos, pictures = _photos(pages)
    data = {
        "title": title,
        "paper": paper,
        "stamp": stamp,
        "place": place,
        "players": [
            _player(each, f"p{at}", photos.get(at), pictures) for at, each in enumerate(pages)
        ],
    }
    return press("player.typ", data, pictures=pictures)


def _player(
    page: PlayerPage, key: str, photo: dict[str, Any] | None, pictures: dict[str, bytes]
) -> dict[str, Any]:
    view, show = page.view, page.show
    pictures[f"{key}.svg"] = qr.for_paper(page.address)
    data = {
        "name": page.name,
        "instrument": page.rig.player.instrument,
        "rig": view.name,
        "show": said_of(show, differs=bool(page.tonight)),
        "square": f"{key}.svg",
        "sound": view.sound,
        "tonight-title": _("Differs at {show}").format(show=show) if show else "",
        "tonight": list(page.tonight.values()),
        "moved": page.moved,
        "units": [_unit(unit, unit.id in page.tonight, pictures) for unit in view.units],
        "path": path_lines(view),
        "inputs": [input_row(entry, page.inputs.get(entry.id)) for entry in view.inputs],
        **_songs(page),
        "photo": photo,
        "cautions": in_words(of_rig(view)),
    }
    return data | {"looked": size_for(_lines_of(data))}


def said_of(show: Show | None, *, differs: bool) -> str:
    """The show a page is for, and whether nothing differs there."""
    if show is None:
        return ""
    return str(show) if differs else _("{show}: as documented").format(show=show)


def input_row(entry: InputView, tonight: DayInput | None) -> list[str]:
    """A row of the inputs: as documented, and beside it in each column what is other tonight."""
    cells = [
        entry.label,
        entry.device.name if entry.device else "",
        each_of((entry.where, entry.stand)),
        each_of(f"{spec.label} {spec.text}" for spec in entry.mix),
    ]
    if tonight is None:
        return cells
    told: list[list[str]] = [[], [], [], []]
    if tonight.absent:
        told[0].append(_("NOT USED"))
    for each in tonight.differs:
        column = _column_of(each)
        heading = "" if column == 1 else f"{each.heading} "
        told[column].append(f"{heading}{each.new or _('nothing')}")
    return [
        _("Tonight: {new} (documented: {before})").format(
            new=_(", ").join(new), before=cell or _("nothing")
        )
        if new
        else cell
        for cell, new in zip(cells, told, strict=True)
    ]


def _column_of(each: Differing) -> int:
    """Where the row of an input says a field: its name, device, place, or what the desk does."""
    row = BY_KEY[each.key].field
    if each.key == "number" or row is None:
        return 0
    if row.role is FieldRole.DEVICE:
        return 1
    return 3 if row.role is FieldRole.SIGNAL else 2


def _lines_of(data: Mapping[str, Any]) -> float:
    """About how many lines of type the page takes, across both columns; measured on sheets that
    were made. Only where the search for a size begins depends on it."""
    songs = 3 + sum(1.7 + 1.1 * (len(words) // 55) for *_, words in data["songs"])
    return float(
        6
        + len(data["tonight"])
        + 1.2 * rows(data["sound"], 80)
        + sum(unit["weight"] for unit in data["units"]) / 2
        + 1.2 * sum(rows(line, 95) for line in data["path"])
        + 3
        + sum(1.7 + 1.1 * max(map(len, row[1:])) // 34 for row in data["inputs"])
        + max(songs, 16 if data["photo"] else 0)
        + sum(rows(caution, 130) for caution in data["cautions"])
    )


def _weight(unit: Mapping[str, Any]) -> float:
    """About how many lines of type a unit takes in its column."""
    worded = "".join(f"{name} {value} · " for name, value in unit["words"])
    lines = sum(rows(line, 46) for line in unit["lines"]) + rows(worded, 46)
    return 1.9 + 1.2 * lines + 3.5 * ceil(len(unit["dials"]) / 4)


def _unit(unit: UnitView, is_other: bool, pictures: dict[str, bytes]) -> dict[str, Any]:
    # All of what came instead is new: that is said of the unit, and a mark on each dial would hide
    # those that only moved.
    controls = [
        replace(c, changed=False) if is_other and c.was is None else c for c in unit.controls
    ]
    data = {
        "name": unit.name,
        "make": unit.make or unit.gear_label,
        "tonight": is_other,
        "lines": list(_lines(unit)),
        **controls_data(controls, pictures),
    }
    return data | {"weight": _weight(data)}


def _lines(unit: UnitView) -> Iterator[str]:
    """What is set on a unit that is no control."""
    if unit.tuning:
        yield _("Tuned {tuning}").format(tuning=unit.tuning)
    worn = (spare for spare in unit.spares if spare.is_string or spare.is_head)
    yield from (leading(spare.sort_label.capitalize(), spare.described) for spare in worn)
    if unit.traits.receives_radio:
        yield from (leading(fact.label, fact.text) for fact in unit.facts)
    if unit.notes:
        yield unit.notes


def path_lines(view: RigView) -> list[str]:
    """The cables as they follow each other, each way on a line of its own:
    “Bass → Splitter (blue tape, 6 m) → Amp”."""
    lines = []
    for way in _ways(view.links):
        steps = [_end(way[0].source_name, way[0].from_socket)]
        for link, following in zip_longest(way, way[1:]):
            leaves = following.from_socket if following is not None else ""
            step = f"{_end(link.target_name, link.to_socket)}{_cable(link)}"
            steps.append(
                _("{step}, from {socket}").format(step=step, socket=leaves) if leaves else step
            )
        lines.append(" → ".join(steps))
    return lines


def _ways(links: Iterable[LinkView]) -> Iterator[list[LinkView]]:
    """Cables that follow each other, whatever the order in which they were written down; each is
    in one way. A way begins where nothing comes in, or anywhere in a loop."""
    left = list(links)
    while left:
        fed = {link.target for link in left}
        way = [next((link for link in left if link.source not in fed), left[0])]
        left.remove(way[0])
        while follows := [link for link in left if link.source == way[-1].target]:
            way.append(follows[0])
            left.remove(follows[0])
        yield way


def _end(name: str, socket: str) -> str:
    return leading(name, socket) if socket else name


def _cable(link: LinkView) -> str:
    said = each_of((link.cable or link.carries_label, link.short_length))
    return f" ({said})" if said else ""


def _songs(page: PlayerPage) -> dict[str, Any]:
    """What to do song by song; songs in which nothing is to be done are not listed."""
    rows = [
        [str(song.number), song.song.title, words]
        for song in page.songs.songs
        if (words := apart(_to_do(song)))
    ]
    listed = {row[0] for row in rows}
    idle = [str(song.number) for song in page.songs.songs if str(song.number) not in listed]
    if not page.songs.songs:
        rest = _("No song is in the set.")
    elif not rows:
        rest = _("Nothing changes in any song.")
    else:
        rest = _("Nothing to do in {songs}.").format(songs=_(", ").join(idle)) if idle else ""
    return {
        "songs-title": _("Songs of {show}").format(show=page.show) if page.show else _("Songs"),
        "songs": rows,
        "songs-rest": rest,
    }


def _to_do(song: RunSong) -> list[str]:
    note = [song.line.note] if song.line.note else []
    return [*note, *(line for part in song.parts for line in part_words(part))]


def _photos(pages: Sequence[PlayerPage]) -> tuple[dict[int, dict[str, Any]], dict[str, bytes]]:
    """The first photo with pins of each page, by the place of the page; the recall sheet has the
    others. One query."""
    first = {at: each[0] for at, page in enumerate(pages) if (each := pinned_photos(page.view))}
    if not first:
        return {}, {}
    production = pages[0].rig.production_id
    found, pictures = for_paper(first.values(), production, "pinned", small=True)
    for photo, data in zip(first.values(), found, strict=True):
        data["legend"] = [[str(pin.number), _pin(pin)] for pin in photo.pins]
    return dict(zip(first, found, strict=True)), pictures


def _pin(pin: PinView) -> str:
    """What the pin is on. Where that stands is not repeated: the page says it once."""
    if not pin.target:
        return pin.legend
    return f"{pin.target} ({pin.words})" if pin.words else pin.target

"""Reads the cables of a path that is typed in words, and writes them so. Pure.

    guitar > wireless > switcher; send 1 > comp > return 1; out > head > cab

An arrow (>, → or ->) is a cable. A semicolon or a new line begins anew. Between the arrows stands
a unit, by its name, by a beginning that only one unit has, or by a new name; with it may stand a
socket: “head send”, or “head: send” for a socket of any name. A socket alone is one of the unit
that was said last before the line, or of the unit whose socket was said last in it. What stands in
quotation marks is a name to the letter; a mark inside is doubled.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.typed import SEMICOLONS, typed_as
from core.languages.words import one_of

MOST_CABLES = 100
MOST_NEW = 60
NAME, SOCKET = 120, 60  # characters that a unit and a socket may have

# Full-width marks mean what the narrow ones do.
_ARROW = re.compile(r"[-–—=]*[>＞]|[→⟶➔⇒]")  # noqa: RUF001
_BREAK = re.compile(rf"[{SEMICOLONS}\n]")
_COLON = re.compile(r"[ \t\u3000]*[:：][ \t\u3000]*")  # noqa: RUF001
# Up to a colon, or to where the step ends.
_NAMED = re.compile(rf"[^:：{SEMICOLONS}\n>＞→⟶➔⇒]*")  # noqa: RUF001
# What closes each; the first of them that comes.
_QUOTES = {'"': '"', "“": "”", "„": "“”", "«": "»", "»": "«", "「": "」", "『": "』"}

_LEADS_OUT = typed_as(gettext_lazy("out|output|send|outlet|thru|through"))
_LEADS_IN = typed_as(gettext_lazy("in|input|return|insert|jack|socket|port"))
_BESIDE = typed_as(
    gettext_lazy("fx|effects|loop|line|direct|speaker|main|left|right|mono|stereo|instrument|mic")
)


@cache
def _socket() -> re.Pattern[str]:
    return re.compile(rf"(?:{_LEADS_OUT.pattern}|{_LEADS_IN.pattern})s?\d*")


@cache
def _with_a_socket() -> re.Pattern[str]:
    return re.compile(rf"\w{{1,2}}|{_BESIDE.pattern}\d*")


@cache
def _leaves() -> re.Pattern[str]:
    return re.compile(rf"\b{_LEADS_OUT.pattern}s?\d*\b", re.IGNORECASE)


class KnownUnit(NamedTuple):
    """A unit of the rig, with the sockets that its cables name already."""

    id: str
    name: str
    sockets: frozenset[str] = frozenset()


class SaidCable(NamedTuple):
    """A cable between two units: ids of known ones, or keys of `SaidPath.new`."""

    source: str
    target: str
    from_socket: str = ""
    to_socket: str = ""


class Problem(NamedTuple):
    """What cannot be read, from one place of the text to another."""

    start: int
    end: int
    message: str


@dataclass(slots=True)
class SaidPath:
    """What a text says. `new` are the names that no unit has, by the key that cables use.

    What can be read is there beside what cannot.
    """

    cables: list[SaidCable] = field(default_factory=list)
    new: dict[str, str] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


class _Step(NamedTuple):
    """What stands between two arrows; `name` and `socket` where one of them is quoted."""

    start: int
    end: int
    text: str
    name: str = ""
    socket: str = ""
    is_exact: bool = False  # the name is quoted


class _End(NamedTuple):
    """A unit where cables meet, and the sockets by which they come in and go out."""

    unit: str
    into: str = ""
    out_of: str = ""


def folded(text: str) -> str:
    """The spelling in which names are compared: no difference of case, or of spaces."""
    return " ".join(unicodedata.normalize("NFC", text).casefold().split())


def read_path(text: str, units: Iterable[KnownUnit]) -> SaidPath:
    """The cables that `text` says among `units`, and what of it cannot be read."""
    return _Reader(units).read(text)


def path_text(cables: Iterable[SaidCable], names: dict[str, str]) -> str:
    """`cables` in words that `read_path` reads as the same, a line for each way.

    `names` are those of their units, by id; no two may be alike when folded.
    """
    lines: list[list[str]] = []
    last: SaidCable | None = None
    for cable in cables:
        goes_on = last is not None and last.target == cable.source
        if goes_on and last is not None and not (last.to_socket or cable.from_socket):
            lines[-1].append(_told(names[cable.target], cable.to_socket))
        else:
            start = _told(names[cable.source], cable.from_socket)
            lines.append([start, _told(names[cable.target], cable.to_socket)])
        last = cable
    return "\n".join(" > ".join(line) for line in lines)


def _told(name: str, socket: str) -> str:
    return f"{quoted(name)}: {quoted(socket)}" if socket else quoted(name)


def quoted(text: str) -> str:
    """A name as it is written in a path, in quotation marks where it has to be."""
    is_plain = re.fullmatch(r"[\w ,.()/&+'’-]*[\w.)]", text) and not text.startswith(" ")
    return text if is_plain else '"' + text.replace('"', '""') + '"'


def is_socket(text: str) -> bool:
    """Whether `text` reads as the name of a socket by itself: “send 1”, “speaker out”."""
    words = folded(text).split()
    sockets = [word for word in words if _socket().fullmatch(word)]
    others = [word for word in words if not _socket().fullmatch(word)]
    return bool(sockets) and all(_with_a_socket().fullmatch(word) for word in others)


class _Reader:
    def __init__(self, units: Iterable[KnownUnit]) -> None:
        units = list(units)
        self.names = {unit.id: unit.name for unit in units}
        self.sockets = {unit.id: {folded(socket) for socket in unit.sockets} for unit in units}
        self.by_name: dict[str, list[str]] = {}
        for unit in units:
            self.by_name.setdefault(folded(unit.name), []).append(unit.id)
        self.reading = SaidPath()
        self.anchor = ""  # the unit that a socket alone belongs to

    def read(self, text: str) -> SaidPath:
        for statement in _statements(text):
            self._statement(statement)
        return self.reading

    def _wrong(self, step: _Step, message: str) -> None:
        self.reading.problems.append(Problem(step.start, step.end, message))

    def _statement(self, steps: Sequence[_Step]) -> None:
        before: _End | None = None
        for place, step in enumerate(steps):
            is_first, is_last = place == 0, place == len(steps) - 1
            try:
                end = self._end(step, is_first=is_first, is_last=is_last)
                if is_first and is_last and (end.into or end.out_of):
                    raise ValueError(
                        _("“{text}” leads nowhere: say what follows it.").format(text=step.text)
                    )
                if before is not None:
                    self._cable(before, end)
            except ValueError as error:
                self._wrong(step, str(error))
                end = None
            before = end
        if before is not None:
            self.anchor = before.unit

    def _end(self, step: _Step, *, is_first: bool, is_last: bool) -> _End:
        """Raises ValueError where the step names no unit, or could name several."""
        if not step.text:
            raise ValueError(_("A unit is missing beside this arrow."))
        if step.text[0] in _QUOTES and not step.is_exact:
            raise ValueError(_("What stands in quotation marks ends with one, and is not empty."))
        unit, socket = self._unit_and_socket(step)
        if len(socket) > SOCKET:
            raise ValueError(_("The name of a socket has at most {n} characters.").format(n=SOCKET))
        if socket:
            self.anchor = unit
        # Between two cables a socket belongs to one of them: to the second if it is an output.
        leaves = is_first or (not is_last and bool(_leaves().search(socket)))
        return _End(unit, out_of=socket) if leaves else _End(unit, into=socket)

    def _cable(self, source: _End, target: _End) -> None:
        name = self.names[source.unit]
        cable = SaidCable(source.unit, target.unit, source.out_of, target.into)
        if source.unit == target.unit:
            raise ValueError(
                _("From “{name}” into itself is no path. Put “;” before it.").format(name=name)
            )
        if cable in self.reading.cables:
            raise ValueError(_("The cable from “{name}” to here is said twice.").format(name=name))
        if len(self.reading.cables) >= MOST_CABLES:
            raise ValueError(
                _("More than {n} cables at once: take them in parts.").format(n=MOST_CABLES)
            )
        self.reading.cables.append(cable)

    def _unit_and_socket(self, step: _Step) -> tuple[str, str]:
        if step.is_exact:
            return self._exactly(step.name) or self._new(step.name), step.socket
        if step.name:
            return self._called(step.name), step.socket
        if step.socket:
            return self._anchor_for(step.socket), step.socket
        if unit := self._exactly(step.text):
            return unit, ""
        before, colon, after = (part.strip() for part in _COLON.sub(":", step.text).partition(":"))
        if colon and after:
            return (self._called(before) if before else self._anchor_for(after)), after
        words = step.text.rstrip(":：").split()  # noqa: RUF001
        return self._in_words(words)

    def _in_words(self, words: Sequence[str]) -> tuple[str, str]:
        """The longest beginning that is a unit's name, with a socket behind it; or one of both."""
        parts = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(len(words) - 1, 0, -1)]
        for name, socket in parts:
            unit = self._exactly(name)
            if unit and self._has(unit, socket):
                return unit, socket
        whole = " ".join(words)
        if is_socket(whole) or (self.anchor and folded(whole) in self.sockets[self.anchor]):
            return self._anchor_for(whole), whole
        if unit := self._beginning(whole):
            return unit, ""
        for name, socket in parts:
            if is_socket(socket) and (unit := self._beginning(name)):
                return unit, socket
        # No known unit fits, so it is a new one. The shortest name leaves the longest socket:
        # “head send 1” is the unit “head” with “send 1”, not “head send” with “1”.
        shortest = next(((n, s) for n, s in reversed(parts) if is_socket(s)), (whole, ""))
        return self._new(shortest[0]), shortest[1]

    def _has(self, unit: str, socket: str) -> bool:
        return is_socket(socket) or folded(socket) in self.sockets[unit]

    def _anchor_for(self, socket: str) -> str:
        if not self.anchor:
            raise ValueError(_("Say first which unit has “{socket}”.").format(socket=socket))
        return self.anchor

    def _exactly(self, name: str) -> str:
        """The unit of that very name. Raises ValueError where several have it."""
        units = self.by_name.get(folded(name), [])
        if len(units) > 1:
            raise ValueError(
                _("{n} units are called “{name}”: give one another name.").format(
                    n=len(units), name=name
                )
            )
        return units[0] if units else ""

    def _beginning(self, name: str) -> str:
        """The unit whose name, or else a word of whose name, begins so; several are refused."""
        said, known = folded(name), [n for n in self.by_name if n not in self._new_names()]
        fitting = [n for n in known if n.startswith(said)]
        fitting = fitting or [n for n in known if f" {said}" in f" {n}"]
        units = [unit for n in fitting for unit in self.by_name[n]]
        if len(units) > 1:
            names = one_of(f"“{self.names[unit]}”" for unit in units[:4])
            words = _("“{name}” can be {names}.")
            if len(units) > 4:
                words = _("“{name}” can be {names} ….")
            raise ValueError(words.format(name=name, names=names))
        return units[0] if units else ""

    def _called(self, name: str) -> str:
        return self._exactly(name) or self._beginning(name) or self._new(name)

    def _new_names(self) -> set[str]:
        return {folded(name) for name in self.reading.new.values()}

    def _new(self, name: str) -> str:
        name = " ".join(name.split())
        if not name:
            raise ValueError(_("A unit is missing beside this arrow."))
        if len(name) > NAME:
            raise ValueError(_("A name has at most {n} characters.").format(n=NAME))
        if len(self.reading.new) >= MOST_NEW:
            raise ValueError(
                _("More than {n} new units at once: take them in parts.").format(n=MOST_NEW)
            )
        key = f"new-{len(self.reading.new) + 1}"
        self.reading.new[key] = self.names[key] = name
        self.by_name[folded(name)] = [key]
        self.sockets[key] = set()
        return key


def _statements(text: str) -> Iterable[list[_Step]]:
    """The steps of each statement; one that is empty is left out."""
    at = 0
    while at <= len(text):
        steps: list[_Step] = []
        goes_on = True
        while goes_on:
            step, at, goes_on = _step(text, at)
            steps.append(step)
        if len(steps) > 1 or steps[0].text:
            yield steps


def _step(text: str, at: int) -> tuple[_Step, int, bool]:
    """The step that begins at `at`, where the next begins, and whether an arrow leads to it."""
    start = at + len(text[at:]) - len(text[at:].lstrip(" \t\r\u3000"))
    name, behind = _in_quotes(text, start)
    is_exact = bool(name)
    if not is_exact:
        behind = _NAMED.match(text, start).end()  # type: ignore[union-attr]
    colon = _COLON.match(text, behind)
    socket, after = _in_quotes(text, colon.end()) if colon else ("", behind)
    if socket and not is_exact:
        name = text[start:behind].strip()
    elif not socket:
        after = behind if is_exact else start
    arrow, stop = _ARROW.search(text, after), _BREAK.search(text, after)
    ends = [match for match in (arrow, stop) if match]
    separator = min(ends, key=lambda match: match.start(), default=None)
    end = separator.start() if separator else len(text)
    following = separator.end() if separator else len(text) + 1
    if is_exact and not socket:
        socket = text[colon.end() if colon else behind : end].strip()
    whole = text[start:end].strip()
    # An arrow with nothing beside it is what is marked.
    last = max(start + len(whole), min(following, len(text)) if not whole else 0)
    step = _Step(start, last, whole, name, socket, is_exact)
    return step, following, separator is not None and separator is arrow


def _in_quotes(text: str, at: int) -> tuple[str, int]:
    """What the quotation marks at `at` hold, and where they end; nothing where there are none."""
    for closing in _QUOTES.get(text[at : at + 1], ""):
        other = re.escape(_QUOTES[text[at]])
        match = re.compile(f"((?:[^{other}]|{closing}{closing})*){closing}").match(text, at + 1)
        if match is not None:
            name = match[1].replace(closing * 2, closing)
            # French sets spaces inside of its marks.
            return (name.strip() if closing in "«»" else name), match.end()
    return "", at

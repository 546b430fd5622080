"""Documents that are fixed for good, with references where people are named or quoted.

Whatever equals somebody's name is that person's name; whatever mentions one, or was marked as said
by somebody, is kept apart as words. The rest of a document stands in it as it is.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from core.models import Player, Production, User
from core.personal.commitments import PREFIX, committed_in
from core.personal.opening import Opened, open_many
from core.personal.store import keep

_REFERENCE = re.compile(rf'"({PREFIX}[0-9a-f]{{64}})"')
Whose = tuple[UUID | None, UUID | None]  # account, musician


def opened_document(text: str) -> Any:
    """The JSON document with every reference opened, in as few queries as they fit into."""
    content = json.loads(text)
    found = _REFERENCE.findall(text)
    if not found:
        return content
    texts = open_many(found)
    return _each(content, lambda each: texts.get(each, each))


def _each(value: Any, change: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {key: _each(each, change) for key, each in value.items()}
    if isinstance(value, list):
        return [_each(each, change) for each in value]
    return value


@dataclass
class Sealing:
    """Puts references into one document of `production`.

    `before` has what an earlier document refers to: words that are still the same keep their
    reference, so that what says nothing new keeps its digest.
    """

    production: Production
    before: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._whose = people_of(self.production)
        named = sorted(self._whose, key=len, reverse=True)
        # As whole words: a player called Al is not mentioned by “always”.
        self._mention = re.compile("|".join(rf"(?<!\w){re.escape(n)}(?!\w)" for n in named) or "$^")
        self._made: dict[str, str] = dict(self.before)

    def seal(self, value: Any) -> Any:
        """`value`, made of mappings, lists and plain values, with references in it."""
        if isinstance(value, dict):
            quoted = self._quoted(value)
            return {
                key: quoted[key] if key in quoted else self.seal(each)
                for key, each in value.items()
            }
        if isinstance(value, list):
            return [self.seal(each) for each in value]
        return self._text(value) if isinstance(value, str) else value

    def words(self, text: str, whose: Whose = (None, None)) -> str:
        """The reference of words of somebody, or of nobody in particular."""
        if text and text not in self._made:
            self._made[text] = keep(
                self.production.pk, text, "words", person=whose[0], player=whose[1]
            )
        return self._made.get(text, "")

    def _quoted(self, value: dict[str, Any]) -> dict[str, str]:
        """What a note says, as said by whoever it says."""
        if "said_by" not in value:
            return {}
        whose = self._whose.get(value["said_by"] or value.get("by", ""), (None, None))
        return {key: self.words(value[key], whose) for key in ("words", "reading") if key in value}

    def _text(self, text: str) -> str:
        if isinstance(text, Opened) and committed_in(text.reference):
            return str.__str__(text.reference)
        if text in self._whose:
            person, player = self._whose[text]
            return keep(self.production.pk, text, "name", person=person, player=player)
        return self.words(text) if self._mention.search(text) else text


def people_of(production: Production) -> dict[str, Whose]:
    """Everybody who has a name in `production` now, by it."""
    members = User.objects.filter(memberships__production=production).values_list("pk", "name")
    players = Player.objects.filter(production=production).values_list("pk", "name")
    named: dict[str, Whose] = {name: (None, key) for key, name in players if name}
    for key, name in members:
        named[name] = (key, named.get(name, (None, None))[1])
    return named


def references_in(text: str) -> dict[str, str]:
    """What a document refers to and is not removed, by its text."""
    opened: Iterable[tuple[str, Opened]] = open_many(_REFERENCE.findall(text)).items()
    return {str(words): each for each, words in opened if not words.is_removed}

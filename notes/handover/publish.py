"""Publish a handover: fix what it says, number it, chain it to the one before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from core import clock
from core.languages.choice import as_stored
from core.models import Leg, Production, User
from core.personal.documents import Sealing, opened_document, references_in
from core.proof import checkpoints
from notes.handover.changes import changes_after, changes_data
from notes.handover.compare import differences
from notes.handover.content import content_of, known_revisions, outline_of, same, stamped
from notes.handover.newest import last_of
from notes.handover.services import handover_of
from notes.handover.state import find
from notes.models import Handover, PublishedHandover
from rigs.changes.chain import canonical, sha256
from rigs.models import Rig
from rigs.revisions.writer import iso

Plain = dict[str, Any]


class NothingNew(Exception):
    """The handover would say what the last one of its leg says. Nothing was written."""

    def __init__(self, last: PublishedHandover) -> None:
        self.last = last
        super().__init__(_("Nothing has changed since {last} was published.").format(last=last))


@transaction.atomic
def publish(*, leg: Leg, by: User) -> PublishedHandover:
    """Number the handover of `leg` and put on record what it says now.

    Raises NothingNew where the last published one is of this leg and says the same.
    """
    # Who publishes next in this production waits here, and then sees what this one wrote.
    production = Production.objects.select_for_update().get(pk=leg.production_id)
    last, handover = last_of(production), handover_of(leg)
    # Rigs are locked in the order of their keys, so that two publishers cannot wait for each other.
    records = find(leg, lock=True)
    content = content_of(records)
    if last is not None:
        before = read(last)
        if last.handover_id == handover.pk and same(before, content):
            raise NothingNew(last)
        # Fixed with the rest: what an older program called a difference stays what was read then.
        with as_stored():
            content["between"] = between(before, content, records.rigs)
    made = _put_on_record(handover, last, content, by)
    # Here, because what is said of a handover is read by this module.
    from notes.handover import ready

    ready.soon(made, by)
    return made


def between(before: Plain, now: Plain, rigs: list[Rig]) -> Plain:
    """What differs, with the reasons that the history of `rigs` knows."""
    moved = changes_after(rigs, known_revisions(before))
    return differences(before, now, {str(rig): changes_data(each) for rig, each in moved.items()})


def _put_on_record(
    handover: Handover, last: PublishedHandover | None, content: Plain, by: User
) -> PublishedHandover:
    number, at = (last.number + 1 if last else 1), clock.now()
    content = sealed(content, handover.leg.production, last)
    whole = stamped(
        content, number=number, previous=last.digest if last else None, by=by, at=iso(at)
    )
    text = canonical(whole)
    checkpoints.soon(handover.leg.production_id, checkpoints.Why.PUBLISHED)
    return PublishedHandover.objects.create(
        production_id=handover.leg.production_id,
        handover=handover,
        number=number,
        previous=last,
        content=text.decode(),
        digest=sha256(text),
        # Kept beside the content, so that progress is told without reading all of it.
        outline=canonical(outline_of(whole)).decode(),
        published_by=by,
        published_at=at,
    )


def sealed(content: Plain, production: Production, last: PublishedHandover | None) -> Plain:
    """`content` with references where people are named, quoted or given a telephone number."""
    before = references_in(last.content) if last is not None else {}
    sealing = Sealing(production, before)
    general = content["general"]
    people = {**general, "people": sealing.words(general["people"])}
    done: Plain = sealing.seal({**content, "general": people})
    return done


def read(published: PublishedHandover) -> Plain:
    """The content of a published handover, as plain data."""
    content: Plain = opened_document(published.content)
    return content


def words_of(published: PublishedHandover) -> dict[str, str]:
    """Opening, cautions and people as the form has them, for the next handover to start from."""
    general = read(published)["general"]
    return {**general, "cautions": "\n".join(general["cautions"])}


@dataclass(frozen=True, slots=True)
class Missing:
    """What whoever is about to publish should know; none of it forbids it."""

    words: list[str]  # sentences on what nobody has written
    unanswered: int
    unsigned: list[tuple[str, str]]  # a rig, and where it stands with its player
    without_rig: list[str]  # players

    def __bool__(self) -> bool:
        return bool(self.words or self.unanswered or self.unsigned or self.without_rig)


def missing(content: Plain, unanswered: int) -> Missing:
    """What is missing in a state or content that is about to be published. Pure."""
    general = content["general"]
    names = (
        ("opening", _("Nobody has written the opening words.")),
        ("cautions", _("Nobody has written cautions.")),
        ("people", _("Nobody has written people to call.")),
    )
    return Missing(
        [words for key, words in names if not general[key]],
        unanswered,
        [
            (rig["name"], party["state"])
            for each in content["sections"]
            for rig in each["rigs"]
            # The player's party stands first.
            for party in rig["parties"][:1]
            if party["state"] != "signed"
        ],
        [each["player"]["name"] for each in content["sections"] if not each["rigs"]],
    )

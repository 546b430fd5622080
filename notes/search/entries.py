"""What can be found of what was heard, tried, signed, handed over, asked and answered."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import QuerySet
from django.urls import reverse

from core.models import Research, SearchEntry
from core.personal.documents import opened_document
from core.places import IndexEntry
from notes.models import (
    Alternative,
    Clip,
    Handover,
    Note,
    PublishedHandover,
    Question,
    SignOff,
    Trial,
    shown_photos,
)

NOTE, WORDS = SearchEntry.Kind.NOTE, SearchEntry.Kind.PEOPLE


def notes(notes: QuerySet[Note]) -> Iterator[IndexEntry]:
    """The words as they were said, who said them, the reading of them, and what photos show."""
    rows = notes.select_related("rig", "song", "section", "said_by_player", "written_by")
    for note in rows.prefetch_related(shown_photos()):
        said_by = str(note.said_by_player or note.said_by_name)
        body = text(
            party_words(note.words, said_by),
            note.reading,
            note.take,
            note.settled_words,
            # Each caption once: several photos often have the same.
            *dict.fromkeys(photo.caption for photo in note.shown_photos),  # type: ignore[attr-defined]
            str(note.written_by),
        )
        title = _join(", ", note.rig.name, f"“{note.song}”" if note.song else "", note.section)
        path = note.get_absolute_url()
        yield IndexEntry(note.production_id, NOTE, note.pk, title, body, path, note.written_at)


def trials(trials: QuerySet[Trial]) -> Iterator[IndexEntry]:
    """The question, each alternative with what was heard, and the decision."""
    asked = trials.select_related("rig", "input", "song").prefetch_related("alternatives__device")
    for trial in asked:
        heard = (_alternative(each) for each in trial.alternatives.all())
        about = _join(", ", trial.input, trial.rig.name, trial.song)
        body = text(about, *heard, trial.decision)
        path = trial.get_absolute_url()
        title = f"Trial: {trial.question}"
        yield IndexEntry(trial.production_id, NOTE, trial.pk, title, body, path, trial.opened_at)


def _alternative(alternative: Alternative) -> str:
    verdict = f" ({alternative.get_verdict_display()})" if alternative.verdict else ""
    return _join(": ", f"{alternative.device}{verdict}", alternative.words)


def clips(clips: QuerySet[Clip]) -> Iterator[IndexEntry]:
    """What each is called, is a recording of, and the name of the file it was cut from."""
    for clip in clips.select_related("rig", "input", "song", "section", "sound"):
        about = _join(", ", clip.input, clip.rig.name, clip.song, clip.section)
        body = text(about, clip.take, clip.words, clip.sound.name)
        path = clip.get_absolute_url()
        title = f"Clip: {clip.name}{' (retired)' if clip.is_retired else ''}"
        kind, at = SearchEntry.Kind.CLIP, clip.brought_at
        yield IndexEntry(clip.production_id, kind, clip.pk, title, body, path, at)


def sign_offs(sign_offs: QuerySet[SignOff]) -> Iterator[IndexEntry]:
    """The sign-offs that have words."""
    for sign_off in sign_offs.exclude(words="").select_related("rig"):
        rig = sign_off.rig
        path = reverse("rigs:rig", args=[rig.production_id, rig.pk])
        title = f"{rig.name}: {sign_off}"
        yield IndexEntry(
            rig.production_id, WORDS, sign_off.pk, title, sign_off.words, path, sign_off.at
        )


def handovers(handovers: QuerySet[Handover]) -> Iterator[IndexEntry]:
    """What was written to whoever takes over."""
    for handover in handovers.select_related("leg"):
        body = text(handover.opening, handover.cautions, handover.people)
        title, path = f"Handover: {handover.leg}", handover.get_absolute_url()
        at = handover.changed_at
        yield IndexEntry(handover.leg.production_id, WORDS, handover.pk, title, body, path, at)


def published(published: QuerySet[PublishedHandover]) -> Iterator[IndexEntry]:
    """The parts of published handovers that may have changed since, and are then found only here:
    the words for everybody, what songs changed, and what the pins of photos pointed at."""
    for each in published.select_related("handover__leg"):
        content = opened_document(each.content)
        general = content["general"]
        rigs = [rig for section in content["sections"] for rig in section["rigs"]]
        songs = (
            f"{song['title']}: {line['label']} {line['text']}"
            for rig in rigs
            # Published before songs were part of it, a rig has none: what is published stays as it
            # was.
            for song in rig.get("songs", ())
            for line in song["lines"]
        )
        photos = (photo for rig in rigs for photo in rig["photos"])
        pins = (pin["legend"] for photo in photos for pin in photo.get("pins", ()))
        body = text(general["opening"], *general["cautions"], general["people"], *songs, *pins)
        title, path = f"{each}: {content['leg']['name']}", f"{each.get_absolute_url()}?long"
        yield IndexEntry(each.production_id, WORDS, each.pk, title, body, path, each.published_at)


def questions(questions: QuerySet[Question]) -> Iterator[IndexEntry]:
    """Each question together with its answers."""
    asked = questions.select_related("handover__leg", "player", "asked_by")
    for question in asked.prefetch_related("answers__answered_by"):
        answers = (
            party_words(each.words, str(each.answered_by)) for each in question.answers.all()
        )
        body = text(party_words(question.words, str(question.asked_by)), *answers)
        leg = question.handover.leg
        title = _join(", ", "Question", question.player, leg)
        path = question.handover.get_absolute_url()
        yield IndexEntry(
            leg.production_id, WORDS, question.pk, title, body, path, question.asked_at
        )


def research(research: QuerySet[Research]) -> Iterator[IndexEntry]:
    """What a record does, and what to take from it."""
    for entry in research.select_related("song", "player", "written_by"):
        whom = str(entry.player or "everybody")
        body = text(entry.recording, entry.place, entry.does, entry.take, str(entry.written_by))
        title = f"What the record does: {entry.song}, for {whom}"
        if entry.is_retired:
            title += " (retired)"
        path, at = entry.get_absolute_url(), entry.written_at
        yield IndexEntry(entry.song.production_id, WORDS, entry.pk, title, body, path, at)


def party_words(words: str, by: str) -> str:
    return f"“{words}” {by}".strip() if words else ""


def text(*parts: str) -> str:
    return _join(" · ", *parts)


def _join(between: str, *parts: object) -> str:
    return between.join(str(part).strip() for part in parts if part and str(part).strip())

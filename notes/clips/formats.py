"""What an uploaded file is, read from its first bytes and never from its name. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from core.languages.marked import Said, gettext_noop

HEAD = 64  # bytes that `sniff` wants to see


class SoundError(ValueError):
    """The sound cannot be taken; `words` say why, fit for a form once they are told."""

    @property
    def words(self) -> str:
        words: str = self.args[0]
        return words


@dataclass(frozen=True, slots=True)
class SoundFormat:
    """`words` name it to a reader. `libav` is the name of the one libav format that may open it;
    empty where libsndfile reads it. `seeks`: a frame can be found without reading up to it."""

    words: str
    suffix: str
    content_type: str
    libav: str = ""
    seeks: bool = False


WAV = SoundFormat("WAV", "wav", "audio/wav", seeks=True)
RF64 = SoundFormat("RF64", "wav", "audio/wav", seeks=True)
AIFF = SoundFormat("AIFF", "aiff", "audio/aiff", seeks=True)
CAF = SoundFormat("CAF", "caf", "audio/x-caf", seeks=True)
FLAC = SoundFormat("FLAC", "flac", "audio/flac", seeks=True)
OGG = SoundFormat("Ogg", "ogg", "audio/ogg")
MP3 = SoundFormat("MP3", "mp3", "audio/mpeg")
AAC = SoundFormat("AAC", "aac", "audio/aac", "aac")
MP4 = SoundFormat("MPEG-4", "m4a", "audio/mp4", "mp4")
WEBM = SoundFormat("WebM", "webm", "audio/webm", "webm")
KINDS = {
    kind.words.lower(): kind for kind in (WAV, RF64, AIFF, CAF, FLAC, OGG, MP3, AAC, MP4, WEBM)
}

TAKEN = Said(gettext_noop("WAV or BWF, FLAC, AIFF, Ogg, MP3, M4A and WebM are taken."))
_OTHERS = (
    (b"PK\x03\x04", gettext_noop("This is a ZIP archive. {taken}")),
    (b"\x1f\x8b", gettext_noop("This is a packed archive. {taken}")),
    (b"%PDF", gettext_noop("This is a PDF. {taken}")),
    (b"\xff\xd8\xff", gettext_noop("This is a picture. {taken}")),
    (b"\x89PNG", gettext_noop("This is a picture. {taken}")),
    (b"GIF8", gettext_noop("This is a picture. {taken}")),
    (b"MThd", gettext_noop("This is a MIDI file, which holds notes and no sound. {taken}")),
    (b"<", gettext_noop("This is a text or a web page. {taken}")),
)


def sniff(head: bytes) -> SoundFormat:
    """The format that the first bytes show.

    Raises SoundError for what is no sound, or of a kind that is not taken.
    """
    if not head:
        raise SoundError(Said(gettext_noop("The file is empty.")))
    if found := _container(head) or _stream(head):
        return found
    for start, words in _OTHERS:
        if head.startswith(start):
            raise SoundError(Said(words, taken=TAKEN))
    raise SoundError(
        Said(gettext_noop("This is not a sound that can be read. {taken}"), taken=TAKEN)
    )


def _container(head: bytes) -> SoundFormat | None:
    start, form = head[:4], head[8:12]
    if start == b"RIFF" and form == b"WAVE":
        return WAV
    if start == b"RF64" and form == b"WAVE":
        return RF64
    if start == b"FORM" and form in (b"AIFF", b"AIFC"):
        return AIFF
    if head[4:8] == b"ftyp":
        return MP4
    starts = {b"caff": CAF, b"fLaC": FLAC, b"OggS": OGG, b"\x1a\x45\xdf\xa3": WEBM}
    return starts.get(start)


def _stream(head: bytes) -> SoundFormat | None:
    """MP3 and AAC without a container: an ID3 tag, or the sync word of a frame."""
    if head.startswith(b"ID3"):
        return MP3
    if len(head) < 4 or head[0] != 0xFF:
        return None
    if head[1] & 0xF6 == 0xF0:  # layer bits 0: ADTS
        return AAC
    return MP3 if head[1] & 0xE6 == 0xE2 else None  # layer III

"""What a telephone may share into the app, and what forms for sounds let one choose."""

from __future__ import annotations

# Beside what a device itself calls a picture or a sound: many do not know these by name.
PICTURE_ENDINGS = (".heic", ".heif")
SOUND_ENDINGS = (
    ".wav",
    ".bwf",
    ".flac",
    ".aif",
    ".aiff",
    ".ogg",
    ".opus",
    ".mp3",
    ".m4a",
    ".aac",
    ".webm",
    ".caf",
)
PICTURES = ("image/*", *PICTURE_ENDINGS)
SOUNDS = ("audio/*", *SOUND_ENDINGS)

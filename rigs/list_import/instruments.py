"""Which instrument the name of an input is about, in the words of input lists. Pure.

Common practice, no source. It is only ever proposed, beside the rows that it was taken from.
"""

from __future__ import annotations

import re

# The first that has a word wins: a “bass drum” is no bass.
_WORDS: tuple[tuple[str, str], ...] = (
    (
        "Drums",
        r"kick|bd|bass ?drum|snare|snr|sn|sd|hi-?hats?|hats?|hh|toms?|racks?|rides?|crash"
        r"|floor ?toms?|cym\w*|oh[lr]?|over-?heads?|kit|drums?|t\d|ft\d?",
    ),
    ("Percussion", r"perc\w*|congas?|bongos?|timbales|djembe|shakers?|tambourine|cajon"),
    ("Bass", r"bass|double ?bass|upright|db"),
    ("Guitar", r"gtrs?|guitars?|git|gitarren?|egtr|ac ?gtr|acoustic|banjo|mando\w*|ukulele"),
    ("Keys", r"keys?|keyboards?|piano|pno|organ|synths?|clav\w*|accordion"),
    ("Brass", r"brass|tpts?|trumpets?|trombones?|tbns?|trb|horns?|tuba|flugel\w*"),
    ("Saxophone", r"sax\w*"),
    ("Strings", r"strings?|vlns?|violins?|vla|viola|vc|cello|celli|fiddle"),
    ("Voice", r"vox|vocals?|voc|voices?|bvs?|bgv|backing|singers?|gesang|lead"),
    ("Playback", r"tracks?|playback|click|laptop|sampler|samples"),
)
_PATTERNS = tuple((label, re.compile(rf"\b(?:{words})\b")) for label, words in _WORDS)


_BESIDES = re.compile(r"\b(?:kit|rig|section|group|corner)\b")


def is_only_instrument(words: str) -> bool:
    """“Drum kit” and “Gtr” name an instrument and nothing else; “Guitar 2” tells one of several."""
    rest = _BESIDES.sub("", words.casefold())
    for _, pattern in _PATTERNS:
        rest = pattern.sub("", rest)
    return not any(letter.isalnum() for letter in rest)


def instrument_of(name: str) -> str:
    """“Kick in” → Drums; empty where no word tells."""
    text = name.casefold()
    return next((label for label, pattern in _PATTERNS if pattern.search(text)), "")

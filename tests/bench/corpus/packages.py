"""Which packages the recordings come from; fetching them with apt and listing their licences."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

# Debian packages of sounds that others recorded and gave away. Played loops and single notes, drum
# kits struck at several strengths, songs with the guitar on a track of its own, and measured
# responses of rooms and of loudspeakers with their microphones.
SOUNDS = (
    "sonic-pi-samples",
    "lmms-common",
    "hydrogen-drumkits",
    "fretsonfire-songs-sectoid",
    "fretsonfire-songs-muldjord",
)
# Somebody speaks: what is heard between songs.
SPEECH = "asterisk-core-sounds-en-wav"
RESPONSES = ("guitarix-common", "jconvolver-config-files")
_APT = shutil.which("apt-get")
_DPKG = shutil.which("dpkg")


def folder() -> Path:
    named = os.environ.get("TONELEDGER_CORPUS")
    return Path(named) if named else Path.home() / ".cache" / "toneledger-corpus"


def fetch() -> list[str]:
    """Download and unpack what is not there yet; returns what could not be had, in words."""
    if _APT is None or _DPKG is None:
        return ["apt-get and dpkg are not here: nothing was fetched"]
    missing = []
    folder().mkdir(parents=True, exist_ok=True)
    for package in (*SOUNDS, SPEECH, *RESPONSES):
        if (folder() / package).is_dir():
            continue
        done = subprocess.run(
            [_APT, "download", package], cwd=folder(), capture_output=True, text=True, check=False
        )
        found = sorted(folder().glob(f"{package}_*.deb"))
        if done.returncode or not found:
            missing.append(f"{package}: {done.stderr.strip().splitlines()[-1:] or 'not found'}")
            continue
        subprocess.run([_DPKG, "-x", str(found[-1]), str(folder() / package)], check=True)
        found[-1].unlink()
    return missing


def absent() -> list[str]:
    return [each for each in (*SOUNDS, SPEECH, *RESPONSES) if not (folder() / each).is_dir()]


def licences(package: str) -> list[str]:
    """The names of the licences in a package's copyright file; “see the file” where it has none."""
    path = folder() / package / "usr/share/doc" / package / "copyright"
    if not path.is_file():
        return ["no copyright file"]
    names = re.findall(r"^License:\s*(\S.*)$", path.read_text(errors="replace"), re.MULTILINE)
    return sorted(set(names)) or [f"in words: {path}"]


def sound_files(package: str) -> list[Path]:
    endings = {".wav", ".flac", ".ogg"}
    every = (folder() / package).rglob("*")
    return sorted(path for path in every if path.suffix.lower() in endings and path.is_file())

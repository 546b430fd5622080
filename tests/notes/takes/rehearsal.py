"""A short rehearsal with known borders, put together by ffmpeg and not by what finds them."""

from __future__ import annotations

import subprocess
from pathlib import Path

RATE = 8_000
# In s: a pause, then each take with the pause after it.
FIRST_PAUSE_S = 8.0
TAKES_S = ((20.0, 9.0), (26.0, 12.0), (17.0, 6.0))
WHOLE_S = FIRST_PAUSE_S + sum(played + pause for played, pause in TAKES_S)
BORDERS_S = ((8.0, 28.0), (37.0, 63.0), (75.0, 92.0))
# A chord through a tremolo and noise as of cymbals, 20 dB above somebody who hums in the pauses;
# the room's noise throughout.
_BAND = "0.14*(sin(2*PI*110*t)+sin(2*PI*165*t)+0.5*sin(2*PI*440*t))*(0.7+0.3*sin(2*PI*4*t))"
_HUM = "0.02*sin(2*PI*200*t)*gt(mod(t,2),1.2)"


def rehearsal(folder: Path, *, channels: int = 1, name: str = "rehearsal.wav") -> Path:
    """WAV of 16 bits at 8 kHz, 98 s; each further channel 6 dB down."""
    target = folder / name
    seconds = [FIRST_PAUSE_S, *(part for pair in TAKES_S for part in pair)]
    sources = [
        f"aevalsrc='{_HUM if at % 2 == 0 else _BAND}':s={RATE}:d={length}[p{at}]"
        for at, length in enumerate(seconds)
    ]
    joined = "".join(f"[p{at}]" for at in range(len(seconds)))
    pan = "|".join(f"c{n}={0.5**n}*c0" for n in range(channels))
    graph = ";".join(
        [
            *sources,
            f"anoisesrc=r={RATE}:a=0.002:d={WHOLE_S}:seed=3[room]",
            f"{joined}concat=n={len(seconds)}:v=0:a=1[played]",
            f"[played][room]amix=inputs=2:normalize=0,pan={channels}c|{pan}[out]",
        ]
    )
    command = ["ffmpeg", "-v", "error", "-y", "-filter_complex", graph, "-map", "[out]"]
    subprocess.run([*command, "-c:a", "pcm_s16le", str(target)], check=True, timeout=60)
    return target

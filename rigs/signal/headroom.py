"""Headroom from capsule to converter, and what clips first."""

from __future__ import annotations

from dataclasses import dataclass

from rigs.signal._check import decibels, positive, within
from rigs.signal.microphones import output_dbu


@dataclass(frozen=True)
class MicChain:
    """What is known of one mic channel; None where nobody has looked it up.

    sensitivity in V/Pa; capsule_max_spl in dB SPL (of the mic as switched); pad_max_dbu and
    preamp_max_dbu are the largest sines at the input of each; pad_db and gain_db in dB;
    full_scale_dbu is the preamp output that reaches 0 dBFS. The pad sits after the mic; a switch
    inside the mic belongs into its sensitivity and maximum instead.
    """

    sensitivity: float
    gain_db: float = 0.0
    pad_db: float = 0.0
    capsule_max_spl: float | None = None
    pad_max_dbu: float | None = None
    preamp_max_dbu: float | None = None
    full_scale_dbu: float | None = None

    def __post_init__(self) -> None:
        positive("sensitivity", self.sensitivity)
        within("pad_db", self.pad_db, 0, 1000, "dB")
        for name in ("gain_db", *_LIMITS.values()):
            if (value := getattr(self, name)) is not None:
                decibels(name, value)


@dataclass(frozen=True)
class Headroom:
    """Headroom in dB per stage in signal order, and the stages whose limit is not known."""

    stages: dict[str, float]
    unknown: tuple[str, ...]

    @property
    def first(self) -> str | None:
        """The known stage with least headroom; None when no limit is known."""
        return min(self.stages, key=self.stages.__getitem__) if self.stages else None


# In signal order: what clips first at equal headroom is the earlier stage.
_LIMITS = {
    "capsule": "capsule_max_spl",
    "pad": "pad_max_dbu",
    "preamp": "preamp_max_dbu",
    "converter": "full_scale_dbu",
}


def headroom(chain: MicChain, spl: float) -> Headroom:
    """Headroom of every stage whose limit is known, at a sine of `spl` dB SPL.

    Formula: limit - level at that stage; capsule in dB SPL, the others in dBu after sensitivity,
    pad and gain. For a measured rms level use levels.sine_equivalent_peak first. Source:
    arithmetic on definitions. Range: -1000 to 1000 dB; equaliser and processing gain are not
    included. Raises ValueError for numbers outside it; an unknown limit is listed, never guessed.
    """
    mic = output_dbu(spl, chain.sensitivity)
    padded = mic - chain.pad_db
    levels = {"capsule": spl, "pad": mic, "preamp": padded, "converter": padded + chain.gain_db}
    limits = {stage: getattr(chain, field) for stage, field in _LIMITS.items()}
    if chain.pad_db == 0:
        del limits["pad"]  # no pad in line: nothing to overload, nothing missing
    known = {s: float(limit - levels[s]) for s, limit in limits.items() if limit is not None}
    return Headroom(known, tuple(s for s in limits if s not in known))

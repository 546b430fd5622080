"""Every rule, in the order a page shows what they find. Adding one is one line here."""

from __future__ import annotations

from rigs.checks.findings import Rule
from rigs.checks.rules import (
    cabinet_power,
    capsule_headroom,
    dangling_end,
    di_and_mic,
    feedback_circle,
    high_pass,
    low_pass,
    measured_delay,
    measured_polarity,
    phantom_missing,
    phantom_on_ribbon,
    phantom_split,
    phantom_unneeded,
    pickup_loading,
    polarity,
    preamp_headroom,
    slack_string,
    song_changes,
    stereo_pair,
    tap_load,
    three_to_one,
    two_mics,
)

RULES: tuple[Rule, ...] = (
    feedback_circle.RULE,
    tap_load.RULE,
    phantom_on_ribbon.RULE,
    phantom_missing.RULE,
    phantom_unneeded.RULE,
    phantom_split.RULE,
    capsule_headroom.RULE,
    preamp_headroom.RULE,
    cabinet_power.RULE,
    high_pass.RULE,
    low_pass.RULE,
    stereo_pair.RULE,
    di_and_mic.RULE,
    two_mics.RULE,
    three_to_one.RULE,
    polarity.RULE,
    measured_polarity.RULE,
    measured_delay.RULE,
    pickup_loading.RULE,
    slack_string.RULE,
    dangling_end.RULE,
    song_changes.RULE,
)

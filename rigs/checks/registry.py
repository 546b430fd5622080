"""Every rule of either kind, in the order in which a page shows what they find."""

from __future__ import annotations

from rigs.checks.bench import Bench
from rigs.checks.findings import Rule
from rigs.checks.rules import (
    cabinet_power,
    capsule_headroom,
    click_to_house,
    dangling_end,
    di_and_mic,
    feedback_circle,
    ground_lift,
    high_pass,
    in_ear_limiter,
    low_pass,
    machines_alike,
    measured_delay,
    measured_polarity,
    midi_messages,
    phantom_missing,
    phantom_on_ribbon,
    phantom_split,
    phantom_unneeded,
    pickup_loading,
    polarity,
    preamp_headroom,
    scene_loops,
    scene_overruled,
    slack_string,
    song_changes,
    speaker_load,
    stereo_pair,
    supply,
    tap_load,
    three_to_one,
    two_mics,
)
from rigs.checks.stage import Stage
from rigs.checks.stage_rules import (
    channel_twice,
    devices_owned,
    mains_circuit,
    no_way,
    one_frequency,
    rigs_of_player,
    set_changes,
    split_phantom,
    way_twice,
)

# Of one rig.
RULES: tuple[Rule[Bench], ...] = (
    feedback_circle.RULE,
    speaker_load.RULE,
    tap_load.RULE,
    phantom_on_ribbon.RULE,
    phantom_missing.RULE,
    phantom_unneeded.RULE,
    phantom_split.RULE,
    ground_lift.RULE,
    capsule_headroom.RULE,
    preamp_headroom.RULE,
    cabinet_power.RULE,
    in_ear_limiter.RULE,
    supply.RULE,
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
    scene_loops.RULE,
    scene_overruled.RULE,
    midi_messages.RULE,
    click_to_house.RULE,
    machines_alike.RULE,
)

# Of the rigs of a show beside each other.
STAGE_RULES: tuple[Rule[Stage], ...] = (
    mains_circuit.RULE,
    devices_owned.RULE,
    channel_twice.RULE,
    way_twice.RULE,
    no_way.RULE,
    one_frequency.RULE,
    split_phantom.RULE,
    rigs_of_player.RULE,
    set_changes.RULE,
)

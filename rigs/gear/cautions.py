"""The usual cautions for kinds of gear.

None is a licence: each leaves the last word to local rules, makers and qualified people.
"""

from __future__ import annotations

from core.languages.marked import gettext_noop

VALVE_CAUTION = gettext_noop(
    "Valve amplifiers hold dangerous voltages after they are switched off and must never run "
    "without their speaker load. Leave the inside to a qualified technician."
)
MAINS_CAUTION = gettext_noop(
    "Never lift a protective earth to cure hum. Mains work belongs to a licensed electrician and "
    "to the local code."
)
ROTOR_CAUTION = gettext_noop(
    "Moving rotors: keep stands, cables, hair and fingers clear; isolate before opening."
)
LOAD_CAUTION = gettext_noop(
    "Bridged, each side sees half of the load that is connected, so the least load allowed is "
    "usually twice that of one side: look up what its maker allows."
)
EAR_CAUTION = gettext_noop(
    "Earphones reach levels that damage hearing: begin low, leave the limiter on, and keep to the "
    "local rules on exposure."
)
LOAD_BOX_CAUTION = gettext_noop(
    "Connect it to the speaker output and set it to that impedance before the amplifier is "
    "switched on, and never give it more than it is rated for. It gets hot: leave air around it. "
    "What the amplifier bears is for its maker or a qualified technician to say."
)
SIMULATOR_CAUTION = gettext_noop(
    "It is no load unless its maker says so: a valve amplifier needs its cabinet or a load box all "
    "the same."
)
RADIO_CAUTION = gettext_noop(
    "Transmit on frequencies and at powers that local radio rules allow; where a licence is "
    "needed, have it."
)
SUPPLY_CAUTION = gettext_noop(
    "Wrong polarity or too many volts can destroy what is plugged in, and too little current heats "
    "the supply: hold each outlet against the maker’s label."
)

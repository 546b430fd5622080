"""The usual cautions for kinds of gear.

None is a licence: each leaves the last word to local rules, makers and qualified people.
"""

from __future__ import annotations

VALVE_CAUTION = (
    "Valve amplifiers hold dangerous voltages after they are switched off and must never run "
    "without their speaker load. Leave the inside to a qualified technician."
)
MAINS_CAUTION = (
    "Never lift a protective earth to cure hum. Mains work belongs to a licensed electrician and "
    "to the local code."
)
ROTOR_CAUTION = (
    "Moving rotors: keep stands, cables, hair and fingers clear; isolate before opening."
)
LOAD_CAUTION = (
    "Bridged, each side sees half of the load that is connected, so the least load allowed is "
    "usually twice that of one side: look up what its maker allows."
)
EAR_CAUTION = (
    "Earphones reach levels that damage hearing: begin low, leave the limiter on, and keep to the "
    "local rules on exposure."
)

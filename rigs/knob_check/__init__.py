"""Which knob moved: a photo compared with the photo of the documented panel.

`registration`, `turning`, `doubt` and `reading` are pure: pictures in, degrees or a reason out.
"""

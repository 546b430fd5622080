"""Drawn front panels, photographed twice with some knobs turned between, and what is true of them.

All of it is drawn: no photograph, and none of the formulas of the reader it tries. What a camera
would see comes from a pinhole camera of our own and slices of each cap at its heights.
"""

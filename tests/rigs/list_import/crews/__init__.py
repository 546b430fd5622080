"""Twelve lists as crews have them, invented, with what each cell means to a person who reads it.

The lists and their meanings were written before anything that reads them. The first six were used
to set the rules of the reader, the last six only to tell how well it does on what it has not seen.
"""

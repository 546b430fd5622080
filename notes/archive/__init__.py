"""A whole production as one file: a zip of JSON, with its photos and sounds, and digests of all.

Written and read by `manage.py export` and `manage.py import`; docs/archive.md says what is in it.
"""

"""Tests of the stage plot."""

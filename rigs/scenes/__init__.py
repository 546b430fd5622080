"""Scenes of switchers, controllers and modellers: one press sets several units."""

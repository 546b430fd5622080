"""Blind trials: opening, listening, answering, and putting the outcome on record."""

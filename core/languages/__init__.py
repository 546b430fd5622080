"""The language in which somebody reads: docs/languages.md."""

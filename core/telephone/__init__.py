"""The installed app on a telephone: its manifest, its shortcuts, and what is shared into it."""

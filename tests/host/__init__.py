"""The host: commands, the journey of a batch, plugins."""

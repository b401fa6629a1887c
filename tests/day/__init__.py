"""The one clock of a day."""

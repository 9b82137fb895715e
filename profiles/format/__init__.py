"""The profile document: its types, both directions, its kind, and what changed between two."""

"""Revisions, marks and trial entries of every workstation, as files that are written once."""

"""Drawings, recorded points and pictures of traces: read from files, found and measured."""

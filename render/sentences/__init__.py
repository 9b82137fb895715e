"""Sentences about results, in one wording for the terminal, the pictures and the pages."""

"""What is said of a result, in sentences: one wording for the terminal, pictures and pages."""

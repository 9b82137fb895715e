"""What is said of a result, in sentences and rows: one wording for the terminal, pictures and pages."""

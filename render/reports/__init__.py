"""The answers of the commands, as text, tables and plain data."""

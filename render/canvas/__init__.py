"""A picture as data, what its marks look like, and how it becomes a file."""

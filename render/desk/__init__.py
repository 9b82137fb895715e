"""The pages in the browser: what they say, how they are served, and their script and style."""

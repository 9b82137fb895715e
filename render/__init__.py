"""What a person sees: text, pictures, pages and the command line."""

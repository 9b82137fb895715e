"""The best rectangle of whole driver steps, and the map rounded to it."""

"""Which tablet with which display, where to sit, and what can be recommended."""

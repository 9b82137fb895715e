"""From a traced outline of known size to what the driver really does."""

"""From a picture or points to the traced outline, what it says of the map, and the picture of that."""

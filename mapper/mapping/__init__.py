"""From tablet, displays and a wish to the map and every form of its rectangle."""

"""What each picture shows, as scenes."""

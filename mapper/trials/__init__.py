"""From scores of days to a person's comfortable band, and plans for further days."""

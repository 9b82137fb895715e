"""Pages to print at true size."""

"""What each command says, as text and tables."""

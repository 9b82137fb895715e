"""What displays and digitizers say of themselves, read from bytes and from the running system."""

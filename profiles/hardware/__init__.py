"""What displays and digitizers report about themselves, from bytes and from the running system."""

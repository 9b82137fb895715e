"""What displays and digitizers report about themselves, read from bytes and from the running
system.
"""

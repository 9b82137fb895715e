"""Runs a command in a network of its own that has a loopback and nothing else.

unshare -n python alone.py COMMAND...
"""

import fcntl
import os
import socket
import struct
import sys

#: linux/sockios.h and linux/if.h: set an interface's flags, and "up".
SIOCSIFFLAGS, IFF_UP = 0x8914, 1

with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
    fcntl.ioctl(sock, SIOCSIFFLAGS, struct.pack("16sh14x", b"lo", IFF_UP))
os.execvp(sys.argv[1], sys.argv[1:])  # noqa: S606 - a test's own command

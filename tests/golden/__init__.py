"""Golden run: everything that a small week gives is compared with what somebody last read."""

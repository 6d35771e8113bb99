"""Faults injected at system calls: the process is killed, the disk is full, the disk fails."""

"""Tests of the shop that comes with the program."""

"""Tests of packing."""
